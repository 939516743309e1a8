#include "viewer/app/fonts.h"

#include <imgui/imgui.h>

#include <array>
#include <filesystem>

namespace steepwright::viewer {

namespace {

constexpr std::array<const char*, 3> kFaces = {"/usr/share/fonts/opentype/inter/Inter-Regular.otf",
                                               "/usr/share/fonts/truetype/inter/Inter-Regular.ttf",
                                               "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"};

// Latin, Greek, dashes and quotes, arrows and mathematical signs: what labels use.
constexpr std::array<ImWchar, 9> kRanges = {0x20, 0x24F, 0x370, 0x3FF, 0x2010, 0x2044, 0x2190, 0x22FF, 0};

}  // namespace

void load_fonts(ImFontAtlas& atlas, float size_px) {
  atlas.Clear();
  ImFontConfig config;
  config.OversampleH = 2;
  config.PixelSnapH = true;
  for (const char* face : kFaces) {
    std::error_code error;
    if (std::filesystem::is_regular_file(face, error) &&
        atlas.AddFontFromFileTTF(face, size_px, &config, kRanges.data()) != nullptr)
      return;
  }
  config.SizePixels = size_px;
  atlas.AddFontDefault(&config);
}

}  // namespace steepwright::viewer
