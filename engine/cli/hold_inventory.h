#pragma once

/// What the commands below `steepwright hold` share: the inventory they work on, and numbers as they print them.

#include "engine/io/hold_file.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::cli {

/// The inventory of a file, or the one that comes with the program for ""; its warnings are printed. Nothing, with the
/// findings printed, when it cannot be read.
[[nodiscard]] std::optional<io::Inventory> load_inventory_or_complain(const std::string& file);

/// "did you mean 'edge'?", or "families are 'edge', 'sloper' and ..." with `what` as the first words.
[[nodiscard]] std::string suggest_name(std::string_view name, const std::vector<std::string>& known,
                                       std::string_view what);
[[nodiscard]] std::vector<std::string> list_families();
[[nodiscard]] std::vector<std::string> list_surfaces();

/// The surface that --surface names; nothing, with the reason printed, when there is none of that name.
[[nodiscard]] std::optional<hold::Surface> read_surface(const std::string& name);

/// mm and degrees as tables show them, without trailing zeros.
[[nodiscard]] std::string show_mm(double length_m);
[[nodiscard]] std::string show_deg(double angle);

/// Grips, best suited first: "half crimp, open hand"; "for feet only" and "none" where there are none.
[[nodiscard]] std::string show_grips(const hold::Site& site);

}  // namespace steepwright::cli
