#include "engine/cli/program.h"

#include "engine/cli/commands.h"
#include "engine/cli/grip_options.h"
#include "engine/cli/hold_options.h"
#include "engine/cli/interrupt.h"
#include "engine/cli/study_options.h"
#include "engine/cli/trace_options.h"
#include "engine/cli/version.h"
#include "engine/io/text.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

namespace steepwright::cli {

namespace {

constexpr const char* kAbout =
    "Tells what a body can reach and hold on an overhanging climbing wall, before it is built.";

constexpr const char* kExamples = R"(Examples:
  steepwright check                        judge the moves of the example scene
  steepwright demo my-wall                 write the example files, to be edited
  steepwright check my-wall/scene.toml     judge one's own scene
  steepwright check --help                 all options of a command
  steepwright trace --move "left hand to the bar" --strip move.png
                                           a move as it happens, frame by frame
  steepwright hold list                    the holds that come with the program
  steepwright hold make "thin rim" --out rim.stl
                                           a hold as a mesh, to be carved or printed
  steepwright grip "thin rim"              what each grip holds there, and its fingers
  steepwright study reach --picture reach.svg
                                           every place that a limb reaches from a stance
  steepwright keys                         every key of the files, with unit and range

Exit status: 0 all moves hold, 1 some do not, 2 bad input.)";

constexpr const char* kCheckExamples = R"(Examples:
  steepwright check
  steepwright check wall.toml --picture wall.svg --json wall.json
  steepwright check wall.toml --move "ledge to slot" --climber short.toml
  steepwright check wall.toml --json - | python3 -m json.tool

Exit status: 0 all moves hold, 1 some do not, 2 bad input (nothing is written then).)";

struct Arguments {
  CheckOptions check;
  HoldOptions hold;
  GripOptions grip;
  TraceOptions trace;
  AllStudyOptions study;
  std::string demo_folder;
  std::string shell = "bash";
};

CLI::App* add_check(CLI::App& app, CheckOptions& options) {
  CLI::App* check = app.add_subcommand("check", "Judge the moves of a scene: verdict, cause and amount of each");
  check->add_option("SCENE", options.scene_file, "Scene file (TOML); left out: the scene that comes with the program")
      ->type_name("");
  check->add_option("--json", options.json_file, "Write the result record (JSON) to FILE; - for standard output")
      ->type_name("FILE");
  check->add_option("--picture", options.picture_file, "Write a picture of the moves (SVG) to FILE")->type_name("FILE");
  check->add_option("--move", options.move_name, "Judge only the move of this name")->type_name("NAME");
  check->add_option("--climber", options.climber_file, "Climber file (TOML), in place of the scene's climber")
      ->type_name("FILE");
  check->footer(kCheckExamples);
  return check;
}

// The command that was asked for, the deepest that was recognised, and the words that lead to it.
struct Asked {
  const CLI::App* command = nullptr;
  std::string above;      // "steepwright hold" of "steepwright hold make"
  std::string name;       // "hold make"; "" for the program itself
  std::size_t depth = 0;  // of its name in the arguments
  [[nodiscard]] bool has_commands() const { return !command->get_subcommands({}).empty(); }
};

Asked find_asked(const CLI::App& app) {
  Asked asked = {&app, "", "", 0};
  for (auto parsed = app.get_subcommands(); !parsed.empty(); parsed = asked.command->get_subcommands()) {
    asked.above += (asked.above.empty() ? "" : " ") + asked.command->get_name();
    asked.command = parsed.back();
    asked.name += (asked.name.empty() ? "" : " ") + asked.command->get_name();
    ++asked.depth;
  }
  return asked;
}

// The library says "a subcommand is required" of a mistyped one.
std::string describe_parse_error(const Asked& asked, const CLI::ParseError& error, const std::string& next_argument) {
  if (!asked.has_commands()) return error.what();
  std::vector<std::string> known;
  for (const CLI::App* command : asked.command->get_subcommands({})) known.push_back(command->get_name());
  const std::string after = asked.name.empty() ? "" : fmt::format(" after '{}'", asked.name);
  if (next_argument.empty()) return fmt::format("no command is given{}", after);
  if (next_argument.front() == '-') return error.what();
  std::string text = fmt::format("there is no command '{}'{}", next_argument, after);
  if (const auto nearest = io::find_nearest_name(next_argument, known)) {
    text += fmt::format("; did you mean '{}'?", *nearest);
  }
  return text;
}

// A wrong command line always ends with 2, with the way to the help.
int report_parse_error(const CLI::App& app, const CLI::ParseError& error, const std::vector<std::string>& arguments) {
  const Asked asked = find_asked(app);
  if (error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success)) {
    const bool asks_version = dynamic_cast<const CLI::CallForVersion*>(&error) != nullptr;
    const std::string text = asks_version ? std::string(error.what()) + "\n" : asked.command->help(asked.above);
    return static_cast<int>(print(text) ? Exit::kAllHold : Exit::kBadInput);
  }
  complain(describe_parse_error(asked, error, asked.depth < arguments.size() ? arguments[asked.depth] : ""));
  fmt::print(stderr, "See: steepwright {}{}--help\n", asked.name, asked.name.empty() ? "" : " ");
  return static_cast<int>(Exit::kBadInput);
}

}  // namespace

int run_program(int argc, const char* const* argv) {
  install_signal_handlers();
  CLI::App app(kAbout, "steepwright");
  app.require_subcommand(1);
  app.set_version_flag("--version", std::string("steepwright ") + kVersion, "Print the version and exit");
  app.set_help_flag("-h,--help", "Print this help and exit");
  app.footer(kExamples);
  app.get_formatter()->column_width(26);

  Arguments arguments;
  const CLI::App* check = add_check(app, arguments.check);
  const CLI::App* trace = add_trace(app, arguments.trace);
  const CLI::App* hold = add_hold(app, arguments.hold);
  const CLI::App* grip = add_grip(app, arguments.grip);
  const CLI::App* study = add_study(app, arguments.study);
  CLI::App* keys = app.add_subcommand("keys", "List every key of scene, inventory and climber files");
  keys->footer("Example:\n  steepwright keys | less");
  CLI::App* demo = app.add_subcommand("demo", "Write the example files into a folder, to be edited");
  demo->add_option("DIR", arguments.demo_folder, "Folder; made if need be. Files that are there are kept")
      ->type_name("")
      ->required();
  demo->footer("Example:\n  steepwright demo my-wall\n  steepwright check my-wall/barn-35.toml");
  CLI::App* completion = app.add_subcommand("completion", "Print the completion rules for a shell");
  completion->add_option("SHELL", arguments.shell, "Only bash")
      ->check(CLI::IsMember({"bash"}))
      ->option_text(" ")
      ->required();
  completion->footer("Example:\n  source <(steepwright completion bash)");

  try {
    app.parse(argc, argv);
    if (check->parsed()) return static_cast<int>(run_check(arguments.check));
    if (trace->parsed()) return static_cast<int>(run_trace(arguments.trace));
    if (hold->parsed()) return static_cast<int>(run_hold(*hold, arguments.hold));
    if (grip->parsed()) return static_cast<int>(run_grip(arguments.grip));
    if (study->parsed()) return static_cast<int>(run_study(*study, arguments.study));
    if (keys->parsed()) return static_cast<int>(run_keys());
    if (demo->parsed()) return static_cast<int>(run_demo(arguments.demo_folder));
    return static_cast<int>(run_completion(app));
  } catch (const CLI::ParseError& error) {
    return report_parse_error(app, error, std::vector<std::string>(argv + std::min(argc, 1), argv + argc));
  } catch (const std::exception& error) {
    complain(fmt::format("internal error: {}", error.what()));
    return static_cast<int>(Exit::kBadInput);
  }
}

}  // namespace steepwright::cli
