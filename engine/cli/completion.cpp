#include "engine/cli/commands.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace steepwright::cli {

namespace {

void add_word(std::string& words, const std::string& word) {
  if ((" " + words + " ").find(" " + word + " ") == std::string::npos) words += (words.empty() ? "" : " ") + word;
}

/// Options of a command and of the commands below it, each once.
std::string list_options(const CLI::App& app) {
  std::string words;
  for (const CLI::Option* option : app.get_options()) {
    for (const std::string& name : option->get_lnames()) add_word(words, "--" + name);
  }
  return words;
}

std::string list_options_below(const CLI::App& app) {
  std::string words = list_options(app);
  for (const CLI::App* command : app.get_subcommands({})) {
    for (const CLI::Option* option : command->get_options()) {
      for (const std::string& name : option->get_lnames()) add_word(words, "--" + name);
    }
  }
  return words;
}

/// What may follow a command as its first word: the commands below it, the shell for completion.
std::string list_next_words(const CLI::App& app) {
  std::string words = app.get_name() == "completion" ? "bash" : "";
  for (const CLI::App* command : app.get_subcommands({})) add_word(words, command->get_name());
  return words;
}

}  // namespace

Exit run_completion(const CLI::App& app) {
  std::string commands;
  std::string cases;
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    commands += (commands.empty() ? "" : " ") + command->get_name();
    cases += fmt::format("    {}) options='{}' next='{}' ;;\n", command->get_name(), list_options_below(*command),
                         list_next_words(*command));
  }
  const bool is_printed = print(fmt::format(R"(# bash completion for steepwright. To use it now and in later shells:
#   steepwright completion bash > ~/.local/share/bash-completion/completions/steepwright
_steepwright() {{
  local word="${{COMP_WORDS[COMP_CWORD]}}" options= next=
  COMPREPLY=()
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W '{0} {1}' -- "$word"))
    return
  fi
  case "${{COMP_WORDS[1]}}" in
{2}  esac
  case "$word" in
    -*) COMPREPLY=($(compgen -W "$options" -- "$word")) ;;
    *) if [ "$COMP_CWORD" -eq 2 ]; then COMPREPLY=($(compgen -W "$next" -- "$word")); fi ;;
  esac
}}
complete -o default -F _steepwright steepwright
)",
                                            commands, list_options(app), cases));
  return is_printed ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace steepwright::cli
