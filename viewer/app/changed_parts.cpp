#include "viewer/app/changed_parts.h"

#include <imgui/imgui.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>
#include <limits>
#include <utility>

namespace steepwright::viewer {

namespace {

constexpr int kSquare_px = 32;
// Each rectangle is a pass over all that is drawn in it.
constexpr std::size_t kMostRects = 6;

std::uint64_t mix(std::uint64_t hash, std::uint64_t value) {
  hash = (hash ^ value) * 0x9E3779B97F4A7C15U;
  return hash ^ (hash >> 29U);
}

std::uint64_t mix_pair(std::uint64_t hash, float a, float b) {
  std::uint32_t bits_a = 0;
  std::uint32_t bits_b = 0;
  std::memcpy(&bits_a, &a, sizeof(a));
  std::memcpy(&bits_b, &b, sizeof(b));
  return mix(hash, bits_a | (static_cast<std::uint64_t>(bits_b) << 32U));
}

std::uint64_t mix_vertex(std::uint64_t hash, const ImDrawVert& vertex) {
  hash = mix_pair(hash, vertex.pos.x, vertex.pos.y);
  hash = mix_pair(hash, vertex.uv.x, vertex.uv.y);
  return mix(hash, vertex.col);
}

PixelRect unite(const PixelRect& a, const PixelRect& b) {
  return {std::min(a.left, b.left), std::min(a.top, b.top), std::max(a.right, b.right), std::max(a.bottom, b.bottom)};
}

long find_area(const PixelRect& rect) {
  return static_cast<long>(rect.right - rect.left) * static_cast<long>(rect.bottom - rect.top);
}

// What the rectangle around both holds beside them.
long find_waste(const PixelRect& a, const PixelRect& b) { return find_area(unite(a, b)) - find_area(a) - find_area(b); }

}  // namespace

void ChangedParts::hash_triangle(const PixelRect& box, std::uint64_t hash) {
  if (box.left >= box.right || box.top >= box.bottom) return;
  const int last_across = std::min((box.right - 1) / kSquare_px, n_across_ - 1);
  const int last_up = std::min((box.bottom - 1) / kSquare_px, n_up_ - 1);
  for (int y = box.top / kSquare_px; y <= last_up; ++y) {
    for (int x = box.left / kSquare_px; x <= last_across; ++x) {
      std::uint64_t& square = wanted_[static_cast<std::size_t>(y * n_across_ + x)];
      square = mix(square, hash);
    }
  }
}

void ChangedParts::hash_command(const ImDrawList& list, const ImDrawCmd& command, const ShownPicture& picture) {
  const auto texture = reinterpret_cast<std::uintptr_t>(command.TextureId);
  std::uint64_t start = mix(texture, texture == picture.texture ? picture.count : 0);
  start = mix_pair(start, command.ClipRect.x, command.ClipRect.y);
  start = mix_pair(start, command.ClipRect.z, command.ClipRect.w);
  const ImDrawVert* vertices = list.VtxBuffer.Data + command.VtxOffset;
  const ImDrawIdx* indices = list.IdxBuffer.Data + command.IdxOffset;
  for (unsigned int i = 0; i + 2 < command.ElemCount; i += 3) {
    std::uint64_t hash = start;
    ImVec2 lower(command.ClipRect.z, command.ClipRect.w);
    ImVec2 upper(command.ClipRect.x, command.ClipRect.y);
    for (unsigned int k = 0; k < 3; ++k) {
      const ImDrawVert& vertex = vertices[indices[i + k]];
      hash = mix_vertex(hash, vertex);
      lower = {std::min(lower.x, vertex.pos.x), std::min(lower.y, vertex.pos.y)};
      upper = {std::max(upper.x, vertex.pos.x), std::max(upper.y, vertex.pos.y)};
    }
    hash_triangle({std::max(static_cast<int>(std::max(lower.x, command.ClipRect.x)), 0),
                   std::max(static_cast<int>(std::max(lower.y, command.ClipRect.y)), 0),
                   static_cast<int>(std::ceil(std::min(upper.x, command.ClipRect.z))),
                   static_cast<int>(std::ceil(std::min(upper.y, command.ClipRect.w)))},
                  hash);
  }
}

void ChangedParts::add(PixelRect rect) {
  rects_.push_back(rect);
  if (rects_.size() <= kMostRects) return;
  std::pair<std::size_t, std::size_t> nearest{0, 1};
  long least = std::numeric_limits<long>::max();
  for (std::size_t i = 0; i < rects_.size(); ++i) {
    for (std::size_t k = i + 1; k < rects_.size(); ++k) {
      if (const long waste = find_waste(rects_[i], rects_[k]); waste < least) {
        least = waste;
        nearest = {i, k};
      }
    }
  }
  rects_[nearest.first] = unite(rects_[nearest.first], rects_[nearest.second]);
  rects_[nearest.second] = rects_.back();
  rects_.pop_back();
}

// Each changed square once, in rectangles as wide and then as high as they go; too many are joined.
void ChangedParts::gather() {
  rects_.clear();
  const auto at = [this](int x, int y) { return static_cast<std::size_t>(y * n_across_ + x); };
  const auto is_changed = [&](int x, int y) { return shown_[at(x, y)] != wanted_[at(x, y)]; };
  for (int y = 0; y < n_up_; ++y) {
    for (int x = 0; x < n_across_; ++x) {
      if (!is_changed(x, y)) continue;
      int end_x = x + 1;
      while (end_x < n_across_ && is_changed(end_x, y)) ++end_x;
      const auto is_row_changed = [&](int row) {
        for (int i = x; i < end_x; ++i) {
          if (!is_changed(i, row)) return false;
        }
        return true;
      };
      int end_y = y + 1;
      while (end_y < n_up_ && is_row_changed(end_y)) ++end_y;
      for (int row = y; row < end_y; ++row) {
        for (int i = x; i < end_x; ++i) shown_[at(i, row)] = wanted_[at(i, row)];
      }
      add({kSquare_px * x, kSquare_px * y, kSquare_px * end_x, kSquare_px * end_y});
    }
  }
}

const std::vector<PixelRect>& ChangedParts::find(const ImDrawData& data, int width_px, int height_px,
                                                 const ShownPicture& picture) {
  constexpr std::uint64_t kEmpty = 1;
  const int n_across = (width_px + kSquare_px - 1) / kSquare_px;
  const int n_up = (height_px + kSquare_px - 1) / kSquare_px;
  if (n_across != n_across_ || n_up != n_up_) forget();
  n_across_ = n_across;
  n_up_ = n_up;
  const std::size_t count = static_cast<std::size_t>(n_across) * static_cast<std::size_t>(n_up);
  wanted_.assign(count, kEmpty);
  for (int i = 0; i < data.CmdListsCount; ++i) {
    for (const ImDrawCmd& command : data.CmdLists[i]->CmdBuffer) hash_command(*data.CmdLists[i], command, picture);
  }
  if (shown_.size() != count) {
    shown_ = wanted_;
    rects_.assign(1, {0, 0, width_px, height_px});
  } else {
    gather();
  }
  return rects_;
}

}  // namespace steepwright::viewer
