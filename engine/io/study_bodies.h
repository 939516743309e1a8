#pragma once

/// Bodies of a study: rows, lists of people, the picture of stature and span.

#include "engine/core/error.h"
#include "engine/io/drawing.h"
#include "engine/io/json_text.h"
#include "engine/study/bodies.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::io {

[[nodiscard]] std::vector<std::string> body_columns();
[[nodiscard]] std::string format_body_row(std::int64_t sample, const study::BodyRow& row);
[[nodiscard]] std::optional<study::BodyRow> read_body_row(const Json& json);

/// People from a CSV file: the first line names the columns sex, stature_mm, mass_kg and, where known, name, span_mm,
/// sitting_height_mm, edge_force_N; an empty field is not known. Everything else is as in `like`. Findings name line
/// and column of the file.
[[nodiscard]] Result<std::vector<move::Climber>> load_people(const std::filesystem::path& path,
                                                             const move::Climber& like);

struct BodiesReport {
  const move::Scene* scene = nullptr;
  study::BodiesTally tally;
  std::vector<study::BodyRow> shown;  ///< bodies drawn one by one; the first ones of a long study
  bool is_list = false;               ///< people of a list, not a population
};

/// Stature against span: bodies that hold by their effort, the others by their cause, and the line between them. The
/// report outlives the drawing.
[[nodiscard]] Drawing make_bodies_picture(const BodiesReport& report);

}  // namespace steepwright::io
