#include "engine/hold/gltf_bytes.h"

#include "engine/hold/byte_text.h"
#include "engine/hold/mesh_import.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <fstream>
#include <system_error>

namespace steepwright::hold {

namespace {

std::uint32_t word_at(std::string_view bytes, std::size_t at) {
  std::uint32_t word = 0;
  std::memcpy(&word, bytes.data() + at, sizeof word);
  return word;
}

std::string decode_base64(std::string_view text) {
  std::string bytes;
  std::uint32_t bits = 0;
  int count = 0;
  for (const char c : text) {
    if (c == '=') break;
    const int value = c >= 'A' && c <= 'Z'   ? c - 'A'
                      : c >= 'a' && c <= 'z' ? c - 'a' + 26
                      : c >= '0' && c <= '9' ? c - '0' + 52
                      : c == '+' || c == '-' ? 62
                      : c == '/' || c == '_' ? 63
                                             : -1;
    if (value < 0) throw GltfFault{"a data: buffer is not base64", kExportAnew};
    bits = (bits << 6U) | static_cast<std::uint32_t>(value);
    count += 6;
    if (count >= 8) {
      count -= 8;
      bytes.push_back(static_cast<char>((bits >> static_cast<unsigned>(count)) & 0xFFU));
    }
  }
  return bytes;
}

std::string decode_percent(std::string_view uri) {
  const auto digit = [](char c) {
    return c >= '0' && c <= '9' ? c - '0' : (c | 0x20) >= 'a' && (c | 0x20) <= 'f' ? (c | 0x20) - 'a' + 10 : -1;
  };
  std::string text;
  for (std::size_t i = 0; i < uri.size(); ++i) {
    if (uri[i] == '%' && i + 2 < uri.size() && digit(uri[i + 1]) >= 0 && digit(uri[i + 2]) >= 0) {
      text.push_back(static_cast<char>(16 * digit(uri[i + 1]) + digit(uri[i + 2])));
      i += 2;
    } else {
      text.push_back(uri[i]);
    }
  }
  return text;
}

/// The file that a reference names, if it lies in or below the folder, links followed.
std::string load_reference(const std::string& uri, const std::filesystem::path& folder) {
  const std::string shown = fmt::format("the reference '{}'", uri.substr(0, 80));
  constexpr const char* kInside = "put the file beside the mesh and name it by its plain name, or export a GLB";
  const std::filesystem::path relative(decode_percent(uri));
  if (uri.find(':') != std::string::npos || leaves_folder(uri) || uri.find('\\') != std::string::npos)
    throw GltfFault{shown + " leaves the mesh's own folder", kInside};
  if (folder.empty()) throw GltfFault{shown + " names another file, which cannot be followed here", kInside};
  std::error_code error;
  const std::filesystem::path base = std::filesystem::weakly_canonical(folder, error);
  const std::filesystem::path path = std::filesystem::weakly_canonical(folder / relative, error);
  if (std::mismatch(base.begin(), base.end(), path.begin(), path.end()).first != base.end())
    throw GltfFault{shown + " leaves the mesh's own folder", kInside};
  const auto size = std::filesystem::file_size(path, error);
  if (error || !std::filesystem::is_regular_file(path))
    throw GltfFault{shown + " names a file that is not there", kInside};
  if (size > kLargestMeshFile)
    throw GltfFault{fmt::format("{} has {} bytes; up to {} are read", shown, size, kLargestMeshFile), kExportAnew};
  std::ifstream file(path, std::ios::binary);
  std::string bytes(size, '\0');
  if (!file.read(bytes.data(), static_cast<std::streamsize>(size))) throw GltfFault{shown + " cannot be read", kInside};
  return bytes;
}

}  // namespace

GlbChunks split_glb(std::string_view bytes) {
  if (bytes.size() < 20) throw GltfFault{fmt::format("has {} bytes, a GLB has 20 or more", bytes.size()), kExportAnew};
  if (word_at(bytes, 4) != 2) {
    throw GltfFault{fmt::format("is GLB version {}; version 2 is read", word_at(bytes, 4)), kExportAnew};
  }
  const std::size_t claimed = word_at(bytes, 8);
  if (claimed > bytes.size()) {
    throw GltfFault{fmt::format("claims {} bytes and has {}", claimed, bytes.size()),
                    "the file was cut short; get it anew"};
  }
  GlbChunks chunks;
  for (std::size_t at = 12; at + 8 <= claimed;) {
    const std::size_t length = word_at(bytes, at);
    const std::uint32_t kind = word_at(bytes, at + 4);
    if (length > claimed - at - 8) {
      throw GltfFault{fmt::format("a part claims {} bytes where {} are left", length, claimed - at - 8), kExportAnew};
    }
    if (kind == kGlbJson && chunks.json.empty()) chunks.json = bytes.substr(at + 8, length);
    if (kind == kGlbBytes && chunks.bin.empty()) chunks.bin = bytes.substr(at + 8, length);
    at += 8 + length;
  }
  return chunks;
}

std::string write_glb(std::string text, std::string_view bin) {
  text.resize((text.size() + 3) / 4 * 4, ' ');
  std::string glb = "glTF";
  const auto put = [&glb](std::size_t value) {
    const auto word = static_cast<std::uint32_t>(value);
    glb.append(reinterpret_cast<const char*>(&word), sizeof word);
  };
  put(2);
  put(12 + 8 + text.size() + 8 + bin.size());
  put(text.size());
  put(kGlbJson);
  glb += text;
  put(bin.size());
  put(kGlbBytes);
  glb += bin;
  return glb;
}

bool leaves_folder(const std::string& uri) {
  const std::filesystem::path path(decode_percent(uri));
  return path.is_absolute() || std::any_of(path.begin(), path.end(), [](const auto& part) { return part == ".."; });
}

std::string load_buffer(const std::string& uri, const std::filesystem::path& folder) {
  if (!uri.starts_with("data:")) return load_reference(uri, folder);
  const std::size_t comma = uri.find(";base64,");
  if (comma == std::string::npos) throw GltfFault{"a data: buffer is not base64", kExportAnew};
  return decode_base64(std::string_view(uri).substr(comma + 8));
}

}  // namespace steepwright::hold
