/// OBJ and GLB by Assimp, from memory.

#include "engine/hold/mesh_import.h"
#include "engine/hold/mesh_source.h"

#include <assimp/IOSystem.hpp>
#include <assimp/Importer.hpp>
#include <assimp/MemoryIOWrapper.h>
#include <assimp/config.h>
#include <assimp/postprocess.h>
#include <assimp/scene.h>
#include <fmt/format.h>

#include <cmath>
#include <cstdint>
#include <exception>
#include <memory>
#include <utility>

namespace steepwright::hold {

namespace {

/// The one file there is; all else does not exist.
class OneFile final : public Assimp::IOSystem {
 public:
  OneFile(std::string name, std::string_view bytes) : name_(std::move(name)), bytes_(bytes) {}

  [[nodiscard]] bool Exists(const char* file) const override { return name_ == file; }
  [[nodiscard]] char getOsSeparator() const override { return '/'; }
  Assimp::IOStream* Open(const char* file, const char* mode) override {
    if (name_ != file || mode == nullptr || mode[0] != 'r') return nullptr;
    // Assimp takes and returns its streams by plain pointers; Close deletes it.
    return new Assimp::MemoryIOStream(reinterpret_cast<const std::uint8_t*>(bytes_.data()), bytes_.size());
  }
  void Close(Assimp::IOStream* stream) override { delete stream; }

 private:
  std::string name_;
  std::string_view bytes_;
};

/// Validation comes first: later steps trust the indices. Polygons are cut here: Assimp's own step asserts.
constexpr unsigned kSteps =
    aiProcess_ValidateDataStructure | aiProcess_RemoveComponent | aiProcess_PreTransformVertices;
constexpr int kIgnored = aiComponent_NORMALS | aiComponent_TANGENTS_AND_BITANGENTS | aiComponent_COLORS |
                         aiComponent_TEXCOORDS | aiComponent_BONEWEIGHTS | aiComponent_ANIMATIONS |
                         aiComponent_TEXTURES | aiComponent_LIGHTS | aiComponent_CAMERAS;

/// First line of what Assimp says, without its own markers.
std::string shorten(const char* text) {
  std::string line(text == nullptr ? "" : text);
  line.resize(std::min({line.size(), line.find('\n'), std::size_t{160}}));
  return line.empty() ? "no reason given" : line;
}

Result<void> append(const aiMesh& part, RawMesh& raw, const std::string& name) {
  const std::size_t first = raw.mesh.vertices.size();
  for (unsigned i = 0; i < part.mNumVertices; ++i) {
    const aiVector3D& v = part.mVertices[i];
    const Vec3 p(static_cast<double>(v.x), static_cast<double>(v.y), static_cast<double>(v.z));
    if (!p.allFinite()) {
      return mesh_failure(name, fmt::format("corner {} has a coordinate that is not a number", first + i + 1),
                          "export the mesh anew");
    }
    raw.mesh.vertices.push_back(p);
  }
  std::vector<std::uint32_t> corners;
  for (unsigned i = 0; i < part.mNumFaces; ++i) {
    const aiFace& face = part.mFaces[i];
    if (face.mNumIndices < 3) continue;  // points and lines bound nothing
    corners.clear();
    for (unsigned k = 0; k < face.mNumIndices; ++k) {
      if (face.mIndices[k] >= part.mNumVertices) {
        return mesh_failure(name,
                            fmt::format("triangle {} names corner {} of {}", raw.mesh.triangles.size() + 1,
                                        face.mIndices[k] + 1, part.mNumVertices),
                            "export the mesh anew");
      }
      corners.push_back(static_cast<std::uint32_t>(first + face.mIndices[k]));
    }
    append_polygon(corners, raw.mesh);
  }
  return {};
}

Result<RawMesh> read(std::string_view bytes, std::string_view suffix, const std::string& name) {
  const std::string inner_name = fmt::format("mesh.{}", suffix);
  Assimp::Importer importer;
  importer.SetIOHandler(new OneFile(inner_name, bytes));  // the importer deletes it
  importer.SetPropertyInteger(AI_CONFIG_PP_RVC_FLAGS, kIgnored);
  const aiScene* scene = importer.ReadFile(inner_name, kSteps);
  if (scene == nullptr) {
    return mesh_failure(name, fmt::format("cannot be read: {}", shorten(importer.GetErrorString())),
                        "export the mesh anew");
  }
  RawMesh raw;
  for (unsigned i = 0; i < scene->mNumMeshes; ++i) {
    const Result<void> appended = append(*scene->mMeshes[i], raw, name);
    if (!appended) return tl::unexpected<Findings>(appended.error());
  }
  raw.corners_read = raw.mesh.vertices.size();
  return raw;
}

}  // namespace

Result<RawMesh> read_by_assimp(std::string_view bytes, std::string_view suffix, const std::string& name) {
  try {
    return read(bytes, suffix, name);
  } catch (const std::exception& fault) {
    return mesh_failure(name, fmt::format("cannot be read: {}", shorten(fault.what())), "export the mesh anew");
  }
}

}  // namespace steepwright::hold
