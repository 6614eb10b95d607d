#include "scenarios/app/completion.h"
#include "models/core/parameter_list.h"
#include "scenarios/app/command_line.h"
#include "scenarios/checks/check.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
std::vector<std::string> key_paths()
{
  Scenario                 defaults;
  std::vector<std::string> words;
  for (const DeclaredKey &key : declared_keys(defaults))
  {
    if (!key.section.empty() && (words.empty() || std::find(words.begin(), words.end(), key.section) == words.end()))
      words.push_back(key.section);
    words.push_back(key.path());
  }
  return words;
}

std::vector<std::string> check_ids()
{
  std::vector<std::string> ids;
  for (const checks::CheckCase &check : checks::all_checks())
    ids.push_back(check.id);
  return ids;
}

/// Words that complete an option; empty where files do, or nothing.
std::vector<std::string> words_for(const CLI::Option &option)
{
  const std::string type = type_of(option);
  if (type == "KEY")
    return key_paths();
  return type == "ID" ? check_ids() : fixed_values(option);
}

std::string spaced(const std::vector<std::string> &words) { return fmt::format("{}", fmt::join(words, " ")); }

std::vector<std::string> dashed_names(const CLI::App &app)
{
  std::vector<std::string> names;
  for (const CLI::Option *option : dashed_options(app))
    for (const std::string &name : CLI::detail::split(option->get_name(false, true), ','))
      names.push_back(name);
  return names;
}

bool takes_value(const CLI::Option &option) { return option.get_items_expected_max() > 0; }

std::string bash_action(const CLI::Option &option)
{
  const std::string type = type_of(option);
  if (type == "FILE")
    return "_stifle_files '!*.@(yaml|yml)'";
  if (type == "CSV")
    return "_stifle_files '!*.csv'";
  if (type == "DIR")
    return "_stifle_files '*'"; // of files none: folders only
  const auto words = words_for(option);
  return words.empty() ? ":" : "_stifle_words '" + spaced(words) + "'";
}

std::string bash_command(const CLI::App &command)
{
  std::string values, places;
  for (const CLI::Option *option : dashed_options(command))
    if (takes_value(*option))
      values += fmt::format("        {}) {}; return ;;\n", fmt::format("{}", fmt::join(CLI::detail::split(option->get_name(false, true), ','), "|")),
                            bash_action(*option));
  int place = 1;
  for (const CLI::Option *option : positionals(command))
    places += fmt::format("        {}) {} ;;\n", option->get_items_expected_max() > 1 ? "*" : std::to_string(place++), bash_action(*option));
  return fmt::format("    {})\n      case $previous in\n{}      esac\n      if [[ $current == -* ]]; then\n        _stifle_words '{}'; return\n"
                     "      fi\n      case $place in\n{}      esac ;;\n",
                     command.get_name(), values, spaced(dashed_names(command)), places);
}

/// Options of all commands that take a value: the word after them is no argument.
std::string with_value(const CLI::App &app)
{
  std::vector<std::string> names;
  for (const CLI::App *command : commands_of(app))
    for (const CLI::Option *option : dashed_options(*command))
      if (takes_value(*option))
        for (const std::string &name : CLI::detail::split(option->get_name(false, true), ','))
          if (std::find(names.begin(), names.end(), name) == names.end())
            names.push_back(name);
  return fmt::format("{}", fmt::join(names, "|"));
}

const char *const bash_head = R"(# bash completion of stifle, made by `stifle completion bash`
_stifle_words() { # words with a space between them
  mapfile -t COMPREPLY < <(compgen -W "$1" -- "$current")
}
_stifle_files() { # pattern of the files to leave out; folders always
  compopt -o filenames 2>/dev/null
  local extended; extended=$(shopt -p extglob); shopt -s extglob
  mapfile -t COMPREPLY < <(compgen -d -- "$current"; compgen -f -X "$1" -- "$current" | while IFS= read -r name; do [[ -d $name ]] || printf '%s\n' "$name"; done)
  $extended
}
_stifle() {
  local current=${COMP_WORDS[COMP_CWORD]} previous=${COMP_WORDS[COMP_CWORD-1]} command='' place=0 skip=0 i word
  COMPREPLY=()
  if [[ $current == '=' ]]; then # --out=DIR comes as three words
    current=''
  elif [[ $previous == '=' ]]; then
    previous=${COMP_WORDS[COMP_CWORD-2]}
  fi
  for ((i = 1; i <= COMP_CWORD; ++i)); do # the command, and which argument of it the cursor is at
    word=${COMP_WORDS[i]}
    if ((skip)) || [[ $word == '=' ]]; then
      skip=0
      [[ $word == '=' ]] && skip=1
    elif [[ -z $command ]]; then
      [[ $word != -* ]] && ((i < COMP_CWORD)) && command=$word
    elif [[ $word == @@VALUES@@ ]]; then
      skip=1
    elif [[ $word != -* ]] || ((i == COMP_CWORD)); then
      ((++place))
    fi
  done
  case $command in
)";

std::string zsh_escaped(const std::string &text)
{
  std::string out;
  for (const char c : text)
    out += c == '\'' ? std::string("'\\''") : c == '[' || c == ']' || c == ':' ? std::string("\\") + c : std::string(1, c);
  return out;
}

std::string zsh_action(const CLI::Option &option)
{
  const std::string type = type_of(option);
  if (type == "FILE")
    return "_files -g \"*.(yaml|yml)\"";
  if (type == "CSV")
    return "_files -g \"*.csv\"";
  if (type == "DIR")
    return "_files -/";
  const auto words = words_for(option);
  return words.empty() ? " " : "(" + spaced(words) + ")";
}

std::string zsh_options(const CLI::App &app)
{
  std::string out;
  for (const CLI::Option *option : dashed_options(app))
  {
    const auto        names   = CLI::detail::split(option->get_name(false, true), ',');
    const std::string meaning = zsh_escaped(option->get_description());
    for (const std::string &name : names)
      out += fmt::format(" \\\n        '({}){}{}[{}]{}'", spaced(names), name, takes_value(*option) ? (name[1] == '-' ? "=" : "+") : "", meaning,
                         takes_value(*option) ? ":" + type_of(*option) + ":" + zsh_action(*option) : "");
  }
  return out;
}

std::string zsh_command(const CLI::App &command)
{
  std::string out = fmt::format("      {})\n        _arguments{}", command.get_name(), zsh_options(command));
  int         place = 1;
  for (const CLI::Option *option : positionals(command))
    out += fmt::format(" \\\n        '{}:{}:{}'", option->get_items_expected_max() > 1 ? "*" : std::to_string(place++),
                       zsh_escaped(option->get_name(true)), zsh_action(*option));
  return out + " ;;\n";
}
} // namespace

std::string bash_completion(const CLI::App &app)
{
  std::string       out = bash_head;
  const std::string mark = "@@VALUES@@", values = with_value(app);
  out.replace(out.find(mark), mark.size(), "@(" + values + ")");
  std::vector<std::string> first = dashed_names(app);
  for (const CLI::App *command : commands_of(app))
  {
    first.push_back(command->get_name());
    out += bash_command(*command);
  }
  return out + fmt::format("    '') _stifle_words '{}' ;;\n  esac\n}}\ncomplete -F _stifle stifle\n", spaced(first));
}

std::string zsh_completion(const CLI::App &app)
{
  std::string commands, cases;
  for (const CLI::App *command : commands_of(app))
  {
    commands += fmt::format("        '{}:{}'\n", command->get_name(), zsh_escaped(command->get_description()));
    cases += zsh_command(*command);
  }
  return fmt::format("#compdef stifle\n# zsh completion of stifle, made by `stifle completion zsh`\n"
                     "_stifle() {{\n  local context state state_descr line\n  typeset -A opt_args\n"
                     "  _arguments -C{} \\\n        '1:command:->command' '*::argument:->argument'\n"
                     "  case $state in\n    command)\n      local -a commands\n      commands=(\n{}      )\n"
                     "      _describe -t commands 'command of stifle' commands ;;\n"
                     "    argument)\n      case $words[1] in\n{}      esac ;;\n  esac\n}}\n"
                     "if [[ $funcstack[1] == _stifle ]]; then _stifle \"$@\"; else compdef _stifle stifle; fi\n",
                     zsh_options(app), commands, cases);
}
} // namespace stifle::app
