#pragma once

/// A mesh file becomes a shape of the inventory: it is copied beside a new inventory that has all of the old one and
/// the mesh. No file that was there is changed, so that older states and files stay good.

#include "engine/hold/mesh.h"
#include "viewer/document/document.h"
#include "viewer/store/new_files.h"

#include <filesystem>
#include <memory>
#include <string>

namespace steepwright::viewer {

/// What of a document a join depends on: values for another thread. Large meshes take seconds.
struct JoinPlace {
  std::filesystem::path scene_path;
  std::shared_ptr<const io::Inventory> inventory;
  std::filesystem::path inventory_folder;
  std::string inventory_file;

  explicit JoinPlace(const Document& document);
  /// The document is still as it was for the join.
  [[nodiscard]] bool is_of(const Document& document) const;
};

struct JoinedShape {
  JoinShape command;
  std::string summary;  ///< "3 sites; lip: depth 18 mm, ..."
  hold::Mesh mesh;      ///< to be drawn
  NewFiles files;       ///< the copy and the inventory; go again unless they are kept
};

/// Errors: the document has no file yet, the mesh cannot be read or has no site, files cannot be written. Nothing is
/// left behind then.
[[nodiscard]] Result<JoinedShape> join_mesh(const JoinPlace& place, const std::filesystem::path& mesh);

}  // namespace steepwright::viewer
