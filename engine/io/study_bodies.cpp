#include "engine/io/study_bodies.h"

#include "engine/core/units.h"
#include "engine/io/study_rows.h"
#include "engine/io/text.h"
#include "engine/io/text_file.h"

#include <fmt/format.h>

#include <charconv>
#include <map>

namespace steepwright::io {

namespace {

constexpr double kPerMillimetre = 1e3;
constexpr double kPerKilogram = 1e3;
constexpr double kShortest_mm = 1000.0, kTallest_mm = 2500.0;
constexpr double kLightest_kg = 25.0, kHeaviest_kg = 250.0;

std::vector<std::string> split(const std::string& line) {
  std::vector<std::string> fields(1);
  bool is_quoted = false;
  for (const char letter : line) {
    if (letter == '"') {
      is_quoted = !is_quoted;
    } else if (letter == ',' && !is_quoted) {
      fields.emplace_back();
    } else if (letter != '\r') {
      fields.back() += letter;
    }
  }
  for (std::string& field : fields) {
    const std::size_t first = field.find_first_not_of(" \t");
    field = first == std::string::npos ? "" : field.substr(first, field.find_last_not_of(" \t") - first + 1);
  }
  return fields;
}

/// Reads one file of people; collects all findings.
class PeopleReader {
 public:
  PeopleReader(std::string file, const move::Climber& like) : file_(std::move(file)), like_(like) {}

  Result<std::vector<move::Climber>> read(const std::string& text) {
    std::size_t start = 0;
    while (start < text.size()) {
      const std::size_t end = std::min(text.find('\n', start), text.size());
      ++line_;
      const std::vector<std::string> fields = split(text.substr(start, end - start));
      const bool is_empty = fields.size() == 1 && fields[0].empty();
      if (columns_.empty() && !is_empty) {
        read_heading(fields);
      } else if (!is_empty && findings_.empty()) {
        read_person(fields);
      }
      start = end + 1;
    }
    if (columns_.empty()) add("", "is empty", "give a line with the columns' names, then one a person");
    if (findings_.empty() && people_.empty()) add("", "names no people", "add one line a person");
    if (!findings_.empty()) return tl::unexpected<Findings>(findings_);
    return people_;
  }

 private:
  void add(const std::string& key, std::string message, std::string remedy = "") {
    Finding finding;
    finding.place.file = file_;
    finding.place.line = line_;
    finding.key = key;
    finding.message = std::move(message);
    finding.remedy = std::move(remedy);
    findings_.push_back(std::move(finding));
  }

  void read_heading(const std::vector<std::string>& fields) {
    const std::vector<std::string> known = {
        "name", "sex", "stature_mm", "mass_kg", "span_mm", "sitting_height_mm", "edge_force_N"};
    for (std::size_t c = 0; c < fields.size(); ++c) {
      if (std::find(known.begin(), known.end(), fields[c]) == known.end()) {
        const auto nearest = find_nearest_name(fields[c], known);
        add(fields[c], "is no column of a list of people",
            nearest ? fmt::format("did you mean '{}'?", *nearest) : "columns are " + list_of(known));
      }
      columns_[fields[c]] = c;
    }
    for (const char* needed : {"sex", "stature_mm", "mass_kg"}) {
      if (!columns_.contains(needed)) add(needed, "is missing", "every person needs it");
    }
  }

  [[nodiscard]] std::string find_field(const std::vector<std::string>& fields, const std::string& column) const {
    const auto found = columns_.find(column);
    return found == columns_.end() || found->second >= fields.size() ? "" : fields[found->second];
  }

  std::optional<double> read_number(const std::vector<std::string>& fields, const std::string& column, double least,
                                    double most, bool is_needed) {
    const std::string field = find_field(fields, column);
    if (field.empty() && !is_needed) return std::nullopt;
    double value = 0.0;
    const auto [end, error] = std::from_chars(field.data(), field.data() + field.size(), value);
    const bool is_number = error == std::errc() && end == field.data() + field.size();
    if (is_number && value >= least && value <= most) return value;
    add(column, fmt::format("{} is no number from {} to {}", in_quotes(field), least, most));
    return std::nullopt;
  }

  void read_person(const std::vector<std::string>& fields) {
    body::Measures measures = like_.measures;
    measures.name = find_field(fields, "name");
    const std::string sex = find_field(fields, "sex");
    if (sex != "female" && sex != "male") add("sex", fmt::format("{} is neither female nor male", in_quotes(sex)));
    measures.sex = sex == "female" ? body::Sex::kFemale : body::Sex::kMale;
    measures.stature_m = m_from_mm(read_number(fields, "stature_mm", kShortest_mm, kTallest_mm, true).value_or(1700.0));
    measures.mass_kg = read_number(fields, "mass_kg", kLightest_kg, kHeaviest_kg, true).value_or(70.0);
    const auto length = [&](const char* column, double least) -> std::optional<double> {
      const auto value_mm = read_number(fields, column, least, kTallest_mm, false);
      return value_mm ? std::optional(m_from_mm(*value_mm)) : std::nullopt;
    };
    measures.span_m = length("span_mm", kShortest_mm);
    measures.sitting_height_m = length("sitting_height_mm", 500.0);
    measures.inseam_m.reset();
    measures.hand_length_m.reset();
    measures.foot_length_m.reset();
    move::Climber person = study::put_in_body(like_, measures);
    if (const auto force_N = read_number(fields, "edge_force_N", 20.0, 3000.0, false)) {
      person.fingers.edge_force_N = *force_N;
      person.fingers.is_measured = true;
    }
    people_.push_back(std::move(person));
  }

  std::string file_;
  const move::Climber& like_;
  int line_ = 0;
  std::map<std::string, std::size_t> columns_;
  Findings findings_;
  std::vector<move::Climber> people_;
};

}  // namespace

std::vector<std::string> body_columns() {
  std::vector<std::string> columns = {"sample", "name", "sex", "stature_mm", "span_mm", "sitting_height_mm", "mass_kg"};
  const std::vector<std::string> judged = judged_columns();
  columns.insert(columns.end(), judged.begin(), judged.end());
  return columns;
}

std::string format_body_row(std::int64_t sample, const study::BodyRow& row) {
  Json json = {{"sample", sample}};
  if (!row.name.empty()) json["name"] = row.name;
  json["sex"] = row.sex == body::Sex::kFemale ? "female" : "male";
  json["stature_mm"] = to_json_number(mm_from_m(row.stature_m), kPerMillimetre);
  json["span_mm"] = to_json_number(mm_from_m(row.span_m), kPerMillimetre);
  if (row.sitting_height_m > 0.0)
    json["sitting_height_mm"] = to_json_number(mm_from_m(row.sitting_height_m), kPerMillimetre);
  json["mass_kg"] = to_json_number(row.mass_kg, kPerKilogram);
  write_judged(row.judged, json);
  return format_json_line(json);
}

std::optional<study::BodyRow> read_body_row(const Json& json) {
  const auto judged = read_judged(json);
  const std::optional<double> stature_mm = read_number(json, "stature_mm");
  const std::optional<double> span_mm = read_number(json, "span_mm");
  const std::optional<std::string> sex = read_text(json, "sex");
  if (!judged || !stature_mm || !span_mm || !sex) return std::nullopt;
  study::BodyRow row;
  row.name = read_text(json, "name").value_or("");
  row.sex = *sex == "female" ? body::Sex::kFemale : body::Sex::kMale;
  row.stature_m = m_from_mm(*stature_mm);
  row.span_m = m_from_mm(*span_mm);
  row.sitting_height_m = m_from_mm(read_number(json, "sitting_height_mm").value_or(0.0));
  row.mass_kg = read_number(json, "mass_kg").value_or(0.0);
  row.judged = *judged;
  return row;
}

Result<std::vector<move::Climber>> load_people(const std::filesystem::path& path, const move::Climber& like) {
  const Result<std::string> text = load_text(path);
  if (!text) return tl::unexpected<Findings>(text.error());
  return PeopleReader(path.string(), like).read(*text);
}

}  // namespace steepwright::io
