#include "engine/cli/commands.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

namespace steepwright::cli {

namespace {

std::string list_options(const CLI::App& app) {
  std::string names;
  for (const CLI::Option* option : app.get_options()) {
    for (const std::string& name : option->get_lnames()) names += (names.empty() ? "--" : " --") + name;
  }
  return names;
}

}  // namespace

Exit run_completion(const CLI::App& app) {
  std::string commands;
  std::string cases;
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    commands += (commands.empty() ? "" : " ") + command->get_name();
    cases += fmt::format("    {}) words='{}' ;;\n", command->get_name(), list_options(*command));
  }
  const bool is_printed = print(fmt::format(R"(# bash completion for steepwright. To use it now and in later shells:
#   steepwright completion bash > ~/.local/share/bash-completion/completions/steepwright
_steepwright() {{
  local word="${{COMP_WORDS[COMP_CWORD]}}" words=
  COMPREPLY=()
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W '{0} {1}' -- "$word"))
    return
  fi
  case "${{COMP_WORDS[1]}}" in
{2}  esac
  if [ "${{COMP_WORDS[1]}}" = completion ]; then words="bash $words"; fi
  case "$word" in
    -*) COMPREPLY=($(compgen -W "$words" -- "$word")) ;;
    *) if [ "${{COMP_WORDS[1]}}" = completion ]; then COMPREPLY=($(compgen -W "$words" -- "$word")); fi ;;
  esac
}}
complete -o default -F _steepwright steepwright
)",
                                            commands, list_options(app), cases));
  return is_printed ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace steepwright::cli
