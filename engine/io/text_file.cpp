#include "engine/io/text_file.h"

#include "engine/io/embedded.h"
#include "engine/io/text.h"
#include "engine/io/toml_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>

namespace steepwright::io {

namespace {

struct CloseFile {
  void operator()(std::FILE* file) const { std::fclose(file); }
};

tl::unexpected<Findings> fail(const std::string& file, std::string message, std::string remedy = "") {
  tl::unexpected<Findings> findings = failure(std::move(message), std::move(remedy));
  findings.value().front().place.file = file;
  return findings;
}

}  // namespace

std::optional<std::string_view> embedded_file(std::string_view name) {
  for (const EmbeddedFile& file : embedded_files()) {
    if (file.name == name) return file.text;
  }
  return std::nullopt;
}

std::vector<std::string> embedded_names() {
  std::vector<std::string> names;
  for (const EmbeddedFile& file : embedded_files()) names.emplace_back(file.name);
  std::sort(names.begin(), names.end());
  return names;
}

std::filesystem::path find_folder(const std::filesystem::path& file) {
  return file.has_parent_path() ? file.parent_path() : std::filesystem::path(".");
}

std::string find_reference_fault(const std::string& reference) {
  if (reference.empty()) return "is empty";
  if (reference.front() == '/' || reference.front() == '~') return "is not a path relative to the scene file";
  if (reference.find('\\') != std::string::npos || reference.find(':') != std::string::npos) {
    return "contains '\\' or ':'; folders are separated by '/'";
  }
  const std::filesystem::path path(reference);
  const bool leaves = std::any_of(path.begin(), path.end(), [](const auto& part) { return part == ".."; });
  return leaves ? "leaves the folder of the scene file" : "";
}

Result<std::string> load_text(const std::filesystem::path& path) {
  const std::string name = path.string();
  std::error_code error;
  const auto status = std::filesystem::status(path, error);
  if (status.type() == std::filesystem::file_type::not_found) {
    return fail(name, "there is no such file", "check the path");
  }
  if (std::filesystem::is_directory(status)) return fail(name, "is a folder, not a file", "name the file in it");
  const std::unique_ptr<std::FILE, CloseFile> file(std::fopen(name.c_str(), "rb"));
  if (!file) return fail(name, fmt::format("cannot be read: {}", std::strerror(errno)));
  std::string text;
  std::array<char, 16384> buffer{};
  std::size_t count = 0;
  while ((count = std::fread(buffer.data(), 1, buffer.size(), file.get())) > 0) {
    text.append(buffer.data(), count);
    if (text.size() > kLargestFile) {
      return fail(name, fmt::format("is larger than {} bytes: not one of our files", kLargestFile));
    }
  }
  if (std::ferror(file.get()) != 0) return fail(name, fmt::format("cannot be read: {}", std::strerror(errno)));
  return text;
}

Result<FoundText> load_reference(const std::string& reference, const std::filesystem::path& folder,
                                 std::string_view shared) {
  const std::string fault = find_reference_fault(reference);
  if (!fault.empty())
    return failure(fmt::format("{} {}", in_quotes(reference), fault), "put the file beside or below the scene file");
  if (!folder.empty()) {
    const std::filesystem::path path = (folder / reference).lexically_normal();
    std::error_code error;
    const auto status = std::filesystem::status(path, error);
    if (std::filesystem::is_regular_file(status)) {
      Result<std::string> text = load_text(path);
      if (!text) return tl::unexpected<Findings>(text.error());
      return FoundText{path.string(), std::move(*text), find_folder(path)};
    }
    if (std::filesystem::exists(status))
      return failure(fmt::format("{} is not a regular file", in_quotes(path.string())));
  }
  const std::string name = std::string(shared) + "/" + reference;
  if (const auto text = embedded_file(name)) return FoundText{name, std::string(*text), {}};

  std::vector<std::string> known;
  for (const std::string& candidate : embedded_names()) {
    if (candidate.starts_with(std::string(shared) + "/")) known.push_back(candidate.substr(shared.size() + 1));
  }
  const auto nearest = find_nearest_name(reference, known);
  return failure(
      fmt::format("there is no file {} beside the scene, nor does one come with the program", in_quotes(reference)),
      nearest ? fmt::format("did you mean '{}'?", *nearest) : "the program brings " + list_of(known));
}

}  // namespace steepwright::io
