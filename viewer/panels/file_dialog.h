#pragma once

/// Choosing a file: folders and files of one kind, a field for the name.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// For Dialog::kOpen, kSaveAs and kPicture.
void draw_file_dialog(const PanelContext& context);

}  // namespace steepwright::viewer
