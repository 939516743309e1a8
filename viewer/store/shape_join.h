#pragma once

/// A mesh file becomes a shape of the inventory: it is copied beside a new inventory that has all of the old one and
/// the mesh. No file that was there is changed, so that older states and files stay good.

#include "viewer/document/document.h"

#include <filesystem>
#include <string>

namespace steepwright::viewer {

struct JoinedShape {
  JoinShape command;
  std::string summary;  ///< "3 sites; lip: depth 18 mm, ..."
};

/// Errors: the document has no file yet, the mesh cannot be read or has no site, files cannot be written. Nothing is
/// left behind then.
[[nodiscard]] Result<JoinedShape> join_mesh(const Document& document, const std::filesystem::path& mesh);

}  // namespace steepwright::viewer
