#include "engine/io/reach_rows.h"

#include "engine/core/units.h"
#include "engine/io/study_rows.h"

#include <cmath>
#include <limits>

namespace steepwright::io {

namespace {

using study::ReachAnswer;

constexpr double kInfinite = std::numeric_limits<double>::infinity();

/// As many digits as it takes to be read back as the same number; null when infinite.
Json exact(double value) { return std::isfinite(value) ? Json(value) : Json(); }

Json exact(const double* values, Eigen::Index count) {
  Json list = Json::array();
  for (Eigen::Index k = 0; k < count; ++k) list.push_back(values[k]);
  return list;
}

bool read_exact(const Json& object, const char* key, double* values, Eigen::Index count) {
  const auto list = object.find(key);
  if (list == object.end() || !list->is_array() || list->size() != static_cast<std::size_t>(count)) return false;
  for (Eigen::Index k = 0; k < count; ++k) {
    const Json& value = (*list)[static_cast<std::size_t>(k)];
    if (!value.is_number()) return false;
    values[k] = value.get<double>();
  }
  return true;
}

std::optional<int> read_integer(const Json& object, const char* key) {
  const auto value = object.find(key);
  if (value == object.end() || !value->is_number_integer()) return std::nullopt;
  return value->get<int>();
}

Json make_bins(const study::ForearmBins& bins) {
  Json list = Json::array();
  for (const std::optional<int>& bin : bins.hands) list.push_back(bin ? Json(*bin) : Json());
  return list;
}

bool read_bins(const Json& object, study::ForearmBins& bins) {
  const auto list = object.find("forearm_bins");
  if (list == object.end() || !list->is_array() || list->size() != bins.hands.size()) return false;
  for (std::size_t hand = 0; hand < bins.hands.size(); ++hand) {
    const Json& bin = (*list)[hand];
    if (bin.is_number_integer()) {
      bins.hands[hand] = bin.get<int>();
    } else if (!bin.is_null()) {
      return false;
    }
  }
  return true;
}

void write_posture(const body::Posture& posture, Json& object) {
  object["root_m"] = exact(posture.p_WB.data(), 3);
  object["root_rotation"] = exact(posture.R_WB.data(), 9);
  object["angles_rad"] = exact(posture.angles.data(), posture.angles.size());
}

bool read_posture(const Json& object, int n_hinges, body::Posture& posture) {
  posture.angles.resize(n_hinges);
  return read_exact(object, "root_m", posture.p_WB.data(), 3) &&
         read_exact(object, "root_rotation", posture.R_WB.data(), 9) &&
         read_exact(object, "angles_rad", posture.angles.data(), n_hinges);
}

/// Half-planes one after the other: horizontal normal, least distance.
Json make_balance(const posture::BalanceRegion& balance) {
  Json list = Json::array();
  for (const posture::BalanceCut& cut : balance.cuts) {
    for (const double value : {cut.normal_W.x(), cut.normal_W.y(), cut.normal_W.z(), cut.least_m})
      list.push_back(value);
  }
  return list;
}

bool read_balance(const Json& object, posture::BalanceRegion& balance) {
  constexpr std::size_t kNumbers = 4;
  const auto list = object.find("balance_m");
  if (list == object.end() || !list->is_array() || list->size() > kNumbers * posture::BalanceRegion::kMostCuts)
    return false;
  std::array<double, kNumbers * posture::BalanceRegion::kMostCuts> numbers{};
  if (!read_exact(object, "balance_m", numbers.data(), static_cast<Eigen::Index>(list->size()))) return false;
  for (std::size_t k = 0; k + kNumbers <= list->size(); k += kNumbers)
    balance.cuts.push_back({Vec3(numbers[k], numbers[k + 1], numbers[k + 2]), numbers[k + 3]});
  return true;
}

void write_answer(const ReachAnswer& answer, Json& object) {
  object["held"] = answer.stance.is_held;
  object["effort"] = exact(answer.stance.effort);
  object["settled_effort"] = exact(answer.settled_effort);
  object["cause"] = move::name_of(answer.cause);
  if (answer.stance.has_limit)
    object["limit"] = {static_cast<int>(answer.stance.limit.kind), answer.stance.limit.index};
  object["forearm_bins"] = make_bins(answer.bins);
  write_posture(answer.stance.posture, object);
  object["balance_m"] = make_balance(answer.stance.balance);
}

bool read_answer(const Json& object, int n_hinges, ReachAnswer& answer) {
  const std::optional<move::Cause> cause = cause_from_name(read_text(object, "cause").value_or("?"));
  const std::optional<bool> is_held = read_flag(object, "held");
  if (!cause || !is_held) return false;
  answer.stance.has_posture = true;
  answer.stance.is_held = *is_held;
  answer.stance.effort = read_number(object, "effort").value_or(kInfinite);
  answer.settled_effort = read_number(object, "settled_effort").value_or(kInfinite);
  answer.cause = *cause;
  const auto limit = object.find("limit");
  answer.stance.has_limit = limit != object.end();
  if (answer.stance.has_limit) {
    using Kind = statics::LimitShare::Kind;
    std::array<double, 2> numbers{};
    if (!read_exact(object, "limit", numbers.data(), 2)) return false;
    if (numbers[0] < 0.0 || numbers[0] > static_cast<double>(Kind::kTorqueUpper)) return false;
    answer.stance.limit.kind = static_cast<Kind>(static_cast<int>(numbers[0]));
    answer.stance.limit.index = static_cast<int>(numbers[1]);
  }
  return read_bins(object, answer.bins) && read_posture(object, n_hinges, answer.stance.posture) &&
         read_balance(object, answer.stance.balance);
}

}  // namespace

std::vector<std::string> reach_row_columns() {
  return {
      "strip",          "i",     "j",     "across_mm",    "up_mm",  "solved",        "blocked",    "held",     "effort",
      "settled_effort", "cause", "limit", "forearm_bins", "root_m", "root_rotation", "angles_rad", "balance_m"};
}

std::string format_reach_row(const study::ReachTask& task, const study::ReachOutcome& outcome) {
  Json row = {{"strip", task.strip},
              {"i", task.i},
              {"j", task.j},
              {"across_mm", mm_from_m(task.i * task.fine_m)},
              {"up_mm", mm_from_m(task.j * task.fine_m)},
              {"solved", outcome.n_solved}};
  if (outcome.is_blocked) row["blocked"] = true;
  if (outcome.has_answer) write_answer(outcome.answer, row);
  return row.dump();
}

std::optional<ReachRow> read_reach_row(const Json& row, int n_hinges) {
  const std::optional<int> strip = read_integer(row, "strip");
  const std::optional<int> i = read_integer(row, "i");
  const std::optional<int> j = read_integer(row, "j");
  const std::optional<int> n_solved = read_integer(row, "solved");
  if (!strip || !i || !j || !n_solved) return std::nullopt;
  ReachRow read{*strip, *i, *j, {}};
  read.outcome.n_solved = *n_solved;
  read.outcome.is_blocked = read_flag(row, "blocked").value_or(false);
  read.outcome.has_answer = row.contains("held");
  if (read.outcome.has_answer && !read_answer(row, n_hinges, read.outcome.answer)) return std::nullopt;
  return read;
}

std::string format_reach_task(const study::ReachTask& task) {
  Json sources = Json::array();
  for (const ReachAnswer* source : task.sources) write_answer(*source, sources.emplace_back(Json::object()));
  const Json json = {{"place", {task.strip, task.i, task.j}},
                     {"by", {task.fine_m, task.back_i, task.back_j}},
                     {"care", static_cast<int>(task.care)},
                     {"sources", std::move(sources)}};
  return json.dump();
}

std::optional<ReachTaskText> read_reach_task(const std::string& text, int n_hinges) {
  const Json json = Json::parse(text, nullptr, /*allow_exceptions=*/false);
  std::array<double, 3> place{}, by{};
  const std::optional<int> care = json.is_object() ? read_integer(json, "care") : std::nullopt;
  if (!care || *care < 0 || *care > static_cast<int>(study::Care::kSeeking)) return std::nullopt;
  const auto sources = json.find("sources");
  if (!read_exact(json, "place", place.data(), 3) || !read_exact(json, "by", by.data(), 3) || sources == json.end() ||
      !sources->is_array() || sources->empty() || sources->size() > study::ReachTask::kMostSources) {
    return std::nullopt;
  }
  ReachTaskText read;
  read.task = {static_cast<int>(place[0]),
               static_cast<int>(place[1]),
               static_cast<int>(place[2]),
               by[0],
               by[1],
               by[2],
               static_cast<study::Care>(*care),
               {}};
  for (const Json& source : *sources) {
    if (!read_answer(source, n_hinges, read.answers.emplace_back())) return std::nullopt;
    read.task.sources.push_back(&read.answers.back());
  }
  return read;
}

}  // namespace steepwright::io
