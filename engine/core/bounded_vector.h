#pragma once

/// A vector with a fixed capacity and no heap: what hot paths hold their lists in.

#include "engine/core/contract.h"

#include <array>
#include <cstddef>
#include <initializer_list>
#include <utility>

namespace steepwright {

template <typename T, std::size_t Capacity>
class BoundedVector {
 public:
  BoundedVector() = default;
  BoundedVector(std::initializer_list<T> values) {
    for (const T& value : values) push_back(value);
  }
  // Only the items in use are copied: most lists are far from full.
  BoundedVector(const BoundedVector& other) { *this = other; }
  BoundedVector& operator=(const BoundedVector& other) {
    size_ = other.size_;
    for (std::size_t i = 0; i < size_; ++i) items_[i] = other.items_[i];
    return *this;
  }
  ~BoundedVector() = default;

  [[nodiscard]] static constexpr std::size_t capacity() { return Capacity; }
  [[nodiscard]] std::size_t size() const { return size_; }
  [[nodiscard]] bool empty() const { return size_ == 0; }
  [[nodiscard]] bool full() const { return size_ == Capacity; }

  [[nodiscard]] T& operator[](std::size_t i) { return items_[i]; }
  [[nodiscard]] const T& operator[](std::size_t i) const { return items_[i]; }
  [[nodiscard]] T& back() { return items_[size_ - 1]; }
  [[nodiscard]] const T& back() const { return items_[size_ - 1]; }

  void push_back(T value) {
    STEEPWRIGHT_ASSERT(size_ < Capacity);
    items_[size_++] = std::move(value);
  }
  void pop_back() { --size_; }
  void clear() { size_ = 0; }
  void resize(std::size_t size) {
    STEEPWRIGHT_ASSERT(size <= Capacity);
    for (std::size_t i = size_; i < size; ++i) items_[i] = T{};
    size_ = size;
  }

  [[nodiscard]] auto begin() { return items_.begin(); }
  [[nodiscard]] auto end() { return items_.begin() + static_cast<std::ptrdiff_t>(size_); }
  [[nodiscard]] auto begin() const { return items_.begin(); }
  [[nodiscard]] auto end() const { return items_.begin() + static_cast<std::ptrdiff_t>(size_); }

 private:
  std::array<T, Capacity> items_{};
  std::size_t size_ = 0;
};

}  // namespace steepwright
