#pragma once

/// What the commands that judge moves have in common: the scene that they read, the move that they pick, the heading.

#include "engine/body/body.h"
#include "engine/cli/terminal.h"
#include "engine/io/scene_file.h"
#include "engine/move/result.h"

#include <optional>
#include <string>
#include <vector>

namespace steepwright::cli {

/// The scene of a file, or the one that comes with the program for ""; `climber_file` "": the scene's own climber. What
/// there is to say of it is printed; nothing when it cannot be read, or, without a word, on an interrupt.
[[nodiscard]] std::optional<io::LoadedScene> load_scene_or_complain(const std::string& scene_file,
                                                                    const std::string& climber_file);
/// Why there was none: kInterrupted or kBadInput.
[[nodiscard]] Exit find_load_exit();

/// A file that a command writes, with the option that named it; "" when it was not given.
struct WrittenFile {
  std::string option;
  std::string file;
};
/// What is written must not take the place of what is read, nor of each other; false with the reason printed.
[[nodiscard]] bool check_written_files(const std::vector<WrittenFile>& written, const std::vector<std::string>& read);
/// False, with the known endings printed, when a file's name asks for no kind of picture that there is; "" is none.
[[nodiscard]] bool check_picture_name(const char* option, const std::string& file);

/// Asked for as the name of a file: the result goes to standard output, and nothing else does.
inline constexpr const char* kToStdout = "-";
/// Says where a file was written, or why it was not; false when it was not, or nothing could be said. Behind a result
/// on standard output nothing is said of success.
[[nodiscard]] bool tell_saved(const Result<void>& saved, std::string_view what, const std::string& file,
                              bool is_stdout_taken);

/// Keeps only the move of that name ("": all); false with a message when there is none.
[[nodiscard]] bool select_move(const std::string& name, move::Scene& scene);

/// Scene, climber and finger strength, an empty line after them.
[[nodiscard]] std::string format_heading(const move::Scene& scene, const body::Body& body, const Terminal& terminal);

/// The cautions, one a line.
[[nodiscard]] std::string format_cautions();

/// kAllHold or kSomeDoNot.
[[nodiscard]] Exit find_exit(const std::vector<move::MoveResult>& results);

}  // namespace steepwright::cli
