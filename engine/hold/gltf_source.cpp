/// glTF 2.0 before Assimp sees it: what a shape needs is checked and written anew as one GLB, all else is left out.

#include "engine/hold/byte_text.h"
#include "engine/hold/gltf_bytes.h"
#include "engine/hold/mesh_import.h"
#include "engine/hold/mesh_source.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <optional>
#include <utility>
#include <vector>

namespace steepwright::hold {

namespace {

using Json = nlohmann::json;

constexpr std::size_t kDeepestNode = 64;
constexpr int kTriangleList = 4;
constexpr int kTriangleFan = 6;

const Json& list_of(const Json& root, const char* key) {
  static const Json kEmpty = Json::array();
  const auto found = root.find(key);
  if (found == root.end()) return kEmpty;
  if (!found->is_array()) throw GltfFault{fmt::format("'{}' is no list", key), kExportAnew};
  return *found;
}

/// A whole number at least 0 below `end`.
std::size_t number_of(const Json& table, const char* key, std::optional<std::size_t> fallback, std::size_t end) {
  const auto found = table.is_object() ? table.find(key) : table.end();
  if (!table.is_object() || found == table.end()) {
    if (fallback) return *fallback;
    throw GltfFault{fmt::format("'{}' is missing", key), kExportAnew};
  }
  if (!found->is_number_integer() || found->get<std::int64_t>() < 0 || found->get<std::uint64_t>() >= end) {
    throw GltfFault{
        fmt::format("'{}' is {}; it must be a whole number below {}", key, found->dump().substr(0, 40), end),
        kExportAnew};
  }
  return found->get<std::size_t>();
}

class GltfStripper {
 public:
  GltfStripper(const Json& root, std::string_view bin, const std::filesystem::path& folder)
      : root_(root), bin_(bin), folder_(folder) {}

  std::string run() {
    if (!root_.is_object()) throw GltfFault{"holds no glTF", kExportAnew};
    check_demands();
    take_buffers();
    take_views();
    take_meshes();
    take_nodes();
    Json out = {{"asset", {{"version", "2.0"}}},
                {"buffers", {{{"byteLength", bytes_.size()}}}},
                {"bufferViews", views_},
                {"accessors", accessors_},
                {"meshes", meshes_},
                {"nodes", nodes_},
                {"scenes", {{{"nodes", roots_}}}},
                {"scene", 0}};
    return write_glb(out.dump(), bytes_);
  }

 private:
  void check_demands() const {
    const auto asset = root_.find("asset");
    const auto version = asset != root_.end() && asset->is_object() ? asset->find("version") : asset;
    if (asset == root_.end() || !asset->is_object() || version == asset->end() || !version->is_string() ||
        !version->get<std::string>().starts_with("2")) {
      throw GltfFault{"is not glTF 2.0", kExportAnew};
    }
    for (const Json& extension : list_of(root_, "extensionsRequired")) {
      throw GltfFault{fmt::format("demands the extension {}, which is not read here", extension.dump().substr(0, 60)),
                      "export plain glTF without compression"};
    }
    for (const Json& image : list_of(root_, "images")) {
      // Pictures are not read, but a file that reaches out is not to be trusted either.
      const auto uri = image.is_object() ? image.find("uri") : image.end();
      if (!image.is_object() || uri == image.end() || !uri->is_string()) continue;
      const auto text = uri->get<std::string>();
      if (!text.starts_with("data:") && (text.find("://") != std::string::npos || leaves_folder(text))) {
        throw GltfFault{fmt::format("the reference '{}' leaves the mesh's own folder", text.substr(0, 80)),
                        "export the mesh without pictures"};
      }
    }
  }

  void take_buffers() {
    bool is_first = true;
    for (const Json& buffer : list_of(root_, "buffers")) {
      const std::size_t length = number_of(buffer, "byteLength", std::nullopt, kLargestMeshFile);
      std::string loaded;
      std::string_view bytes;
      const auto uri = buffer.find("uri");
      if (uri == buffer.end()) {
        if (!is_first) throw GltfFault{"a buffer has no bytes", kExportAnew};
        bytes = bin_;
      } else {
        if (!uri->is_string()) throw GltfFault{"a buffer's 'uri' is no text", kExportAnew};
        loaded = load_buffer(uri->get<std::string>(), folder_);
        bytes = loaded;
      }
      if (bytes.size() < length) {
        throw GltfFault{fmt::format("a buffer claims {} bytes and has {}", length, bytes.size()), kExportAnew};
      }
      if (bytes_.size() + length > kLargestMeshFile)
        throw GltfFault{fmt::format("buffers of more than {} bytes", kLargestMeshFile), kExportAnew};
      starts_.push_back(bytes_.size());
      lengths_.push_back(length);
      bytes_ += bytes.substr(0, length);
      bytes_.resize((bytes_.size() + 7) / 8 * 8, '\0');  // every component stays aligned
      is_first = false;
    }
  }

  void take_views() {
    for (const Json& view : list_of(root_, "bufferViews")) {
      const std::size_t buffer = number_of(view, "buffer", std::nullopt, starts_.size());
      const std::size_t offset = number_of(view, "byteOffset", 0, lengths_[buffer] + 1);
      const std::size_t length = number_of(view, "byteLength", std::nullopt, lengths_[buffer] - offset + 1);
      Json taken = {{"buffer", 0}, {"byteOffset", starts_[buffer] + offset}, {"byteLength", length}};
      if (view.contains("byteStride")) {
        const std::size_t stride = number_of(view, "byteStride", std::nullopt, 253);
        if (stride < 4) throw GltfFault{fmt::format("'byteStride' is {}; it is 4 or more", stride), kExportAnew};
        taken["byteStride"] = stride;
      }
      views_.push_back(std::move(taken));
    }
  }

  /// Checks an accessor and returns its new number.
  std::size_t take_accessor(std::size_t index, bool is_position) {
    const Json& accessor = list_of(root_, "accessors")[index];
    const std::size_t component = number_of(accessor, "componentType", std::nullopt, 5127);
    const std::size_t size = is_position         ? 12
                             : component == 5125 ? 4
                             : component == 5123 ? 2
                             : component == 5121 ? 1
                                                 : 0;
    const bool is_fit = is_position ? component == 5126 && accessor.value("type", Json()) == "VEC3"
                                    : size > 0 && accessor.value("type", Json()) == "SCALAR";
    if (!is_fit) {
      throw GltfFault{fmt::format("accessor {} has no {}", index, is_position ? "float positions" : "indices"),
                      kExportAnew};
    }
    if (accessor.contains("sparse"))
      throw GltfFault{fmt::format("accessor {} is sparse, which is not read here", index), kExportAnew};
    const std::size_t view = number_of(accessor, "bufferView", std::nullopt, views_.size());
    const auto length = views_[view]["byteLength"].get<std::size_t>();
    const std::size_t offset = number_of(accessor, "byteOffset", 0, length + 1);
    const std::size_t count = number_of(accessor, "count", std::nullopt, std::size_t{1} << 40U);
    const std::size_t stride = views_[view].value("byteStride", size);
    if (count == 0 || stride < size || (count - 1) > (length - std::min(length, offset + size)) / stride ||
        offset + size > length) {
      throw GltfFault{fmt::format("accessor {} claims {} elements, more than its {} bytes hold", index, count, length),
                      kExportAnew};
    }
    accessors_.push_back({{"bufferView", view},
                          {"byteOffset", offset},
                          {"componentType", component},
                          {"count", count},
                          {"type", is_position ? "VEC3" : "SCALAR"}});
    return accessors_.size() - 1;
  }

  void check_indices(const Json& accessor, std::size_t corners) const {
    const Json& view = views_[accessor["bufferView"].get<std::size_t>()];
    const auto component = accessor["componentType"].get<std::size_t>();
    const std::size_t size = component == 5125 ? 4 : component == 5123 ? 2 : 1;
    const std::size_t stride = view.value("byteStride", size);
    const std::size_t start = view["byteOffset"].get<std::size_t>() + accessor["byteOffset"].get<std::size_t>();
    const auto count = accessor["count"].get<std::size_t>();
    for (std::size_t i = 0; i < count; ++i) {
      std::uint32_t index = 0;
      std::memcpy(&index, bytes_.data() + start + i * stride, size);
      if (index >= corners) throw GltfFault{fmt::format("an index names corner {} of {}", index, corners), kExportAnew};
    }
  }

  Json take_primitive(const Json& primitive) {
    const std::size_t mode = number_of(primitive, "mode", kTriangleList, kTriangleFan + 1);
    if (mode < kTriangleList) return {};  // points and lines bound nothing
    const auto attributes = primitive.find("attributes");
    if (attributes == primitive.end()) throw GltfFault{"'attributes' is missing", kExportAnew};
    const std::size_t known = list_of(root_, "accessors").size();
    const std::size_t position = take_accessor(number_of(*attributes, "POSITION", std::nullopt, known), true);
    const auto corners = accessors_[position]["count"].get<std::size_t>();
    Json taken = {{"mode", mode}, {"attributes", {{"POSITION", position}}}};
    std::size_t uses = corners;
    if (primitive.contains("indices")) {
      const std::size_t indices = take_accessor(number_of(primitive, "indices", std::nullopt, known), false);
      check_indices(accessors_[indices], corners);
      uses = accessors_[indices]["count"].get<std::size_t>();
      taken["indices"] = indices;
    }
    if (uses < 3 || (mode == kTriangleList && uses % 3 != 0)) {
      throw GltfFault{fmt::format("a part has {} corners, which make no whole triangles", uses), kExportAnew};
    }
    mesh_triangles_.back() += mode == kTriangleList ? uses / 3 : uses - 2;
    return taken;
  }

  void take_meshes() {
    for (const Json& mesh : list_of(root_, "meshes")) {
      Json primitives = Json::array();
      mesh_triangles_.push_back(0);
      for (const Json& primitive : list_of(mesh, "primitives")) {
        Json taken = take_primitive(primitive);
        if (!taken.is_null()) primitives.push_back(std::move(taken));
      }
      is_mesh_empty_.push_back(primitives.empty());
      meshes_.push_back({{"primitives", std::move(primitives)}});
    }
  }

  static void copy_numbers(const Json& node, Json& taken, const char* key, std::size_t count) {
    const auto found = node.find(key);
    if (found == node.end()) return;
    const bool is_whole = found->is_array() && found->size() == count &&
                          std::all_of(found->begin(), found->end(),
                                      [](const Json& v) { return v.is_number() && std::abs(v.get<double>()) < 1e9; });
    if (!is_whole) throw GltfFault{fmt::format("a node's '{}' is not {} numbers", key, count), kExportAnew};
    taken[key] = *found;
  }

  void take_nodes() {
    const Json& nodes = list_of(root_, "nodes");
    std::vector<std::size_t> parents(nodes.size(), nodes.size());
    for (std::size_t i = 0; i < nodes.size(); ++i) {
      if (!nodes[i].is_object()) throw GltfFault{fmt::format("node {} is no table", i), kExportAnew};
      Json taken = Json::object();
      copy_numbers(nodes[i], taken, "matrix", 16);
      copy_numbers(nodes[i], taken, "translation", 3);
      copy_numbers(nodes[i], taken, "rotation", 4);
      copy_numbers(nodes[i], taken, "scale", 3);
      if (nodes[i].contains("mesh")) {
        const std::size_t mesh = number_of(nodes[i], "mesh", std::nullopt, meshes_.size());
        triangles_ += mesh_triangles_[mesh];
        if (!is_mesh_empty_[mesh]) taken["mesh"] = mesh;
      }
      for (const Json& child : list_of(nodes[i], "children")) {
        const std::size_t index = number_of({{"children", child}}, "children", std::nullopt, nodes.size());
        if (parents[index] != nodes.size()) throw GltfFault{fmt::format("node {} has two parents", index), kExportAnew};
        parents[index] = i;
        taken["children"].push_back(index);
      }
      nodes_.push_back(std::move(taken));
    }
    find_roots(parents);
    if (triangles_ == 0) throw GltfFault{"has no triangles", "export the mesh with its faces"};
    if (triangles_ > kMostTriangles)
      throw GltfFault{fmt::format("has {} triangles; up to {} are read", triangles_, kMostTriangles),
                      "reduce the mesh"};
  }

  void find_roots(const std::vector<std::size_t>& parents) {
    for (std::size_t i = 0; i < parents.size(); ++i) {
      std::size_t depth = 0;
      for (std::size_t up = i; up != parents.size(); up = parents[up]) {
        if (++depth > kDeepestNode) {
          throw GltfFault{fmt::format("node {} is its own ancestor, or lies deeper than {} nodes", i, kDeepestNode),
                          kExportAnew};
        }
      }
      if (parents[i] == parents.size()) roots_.push_back(i);
    }
  }

  const Json& root_;
  std::string_view bin_;
  const std::filesystem::path& folder_;
  std::string bytes_;
  std::vector<std::size_t> starts_, lengths_, mesh_triangles_;
  std::vector<bool> is_mesh_empty_;
  std::size_t triangles_ = 0;
  Json views_ = Json::array(), accessors_ = Json::array(), meshes_ = Json::array(), nodes_ = Json::array(),
       roots_ = Json::array();
};

}  // namespace

Result<std::string> strip_gltf(std::string_view bytes, SourceFormat format, const std::string& name,
                               const std::filesystem::path& folder) {
  try {
    const GlbChunks chunks = format == SourceFormat::kGlb ? split_glb(bytes) : GlbChunks{bytes, {}};
    const Json root = Json::parse(chunks.json, nullptr, false);
    if (root.is_discarded()) return mesh_failure(name, "its JSON cannot be read", kExportAnew);
    return GltfStripper(root, chunks.bin, folder).run();
  } catch (const GltfFault& fault) {
    return mesh_failure(name, fault.message, fault.remedy);
  } catch (const Json::exception&) {
    return mesh_failure(name, "its JSON is not as glTF has it", kExportAnew);
  }
}

}  // namespace steepwright::hold
