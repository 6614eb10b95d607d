#include "scenarios/app/man_page.h"
#include "scenarios/app/command_line.h"
#include "scenarios/app/help_text.h"
#include "scenarios/app/versions.h"
#include <fmt/format.h>
#include <sstream>

namespace stifle::app
{
namespace
{
/// Text that roff prints as it stands.
std::string escaped(const std::string &text)
{
  std::string out;
  for (const char c : text)
    out += c == '\\' ? std::string("\\e") : c == '-' ? std::string("\\-") : std::string(1, c);
  return (out.empty() || (out[0] != '.' && out[0] != '\'') ? "" : "\\&") + out;
}

/// Sentences of a footer: a line that begins with two spaces stands as it is, an empty one ends a paragraph.
std::string paragraphs(const std::string &footer)
{
  std::string        out, line;
  bool               literal = false;
  std::istringstream lines(footer);
  while (std::getline(lines, line))
  {
    const bool typed = line.rfind("  ", 0) == 0;
    if (typed != literal)
      out += typed ? ".PP\n.RS 4\n.nf\n" : ".fi\n.RE\n";
    literal = typed;
    out += line.empty() ? ".PP\n" : escaped(typed ? line.substr(2) : line) + "\n";
  }
  out += literal ? ".fi\n.RE\n" : "";
  for (const std::string twice = ".PP\n.PP\n"; out.find(twice) != std::string::npos;)
    out.erase(out.find(twice), 4);
  return out;
}

std::string entry(const std::string &words, const std::string &meaning)
{
  return ".TP\n.B " + escaped(words) + "\n" + escaped(meaning) + ".\n";
}

std::string command_text(const CLI::App &command)
{
  std::string out = fmt::format(".SS {}\n.B {}\n.PP\n{}.\n", escaped(command.get_name()), escaped(usage_of(command)),
                                escaped(command.get_description()));
  for (const auto &options : {positionals(command), dashed_options(command)})
    for (const CLI::Option *option : options)
      if (option != command.get_help_ptr())
        out += entry(option_words(*option), meaning_of(*option));
  return out + ".PP\n" + paragraphs(command.get_footer());
}
} // namespace

std::string man_page(const CLI::App &app)
{
  std::string out = fmt::format(".TH STIFLE 1 \"\" \"stifle {}\" \"User Commands\"\n.nh\n.ad l\n.SH NAME\nstifle \\- a dog's knee from the paw on the "
                                "ground to the stress in the plate\n.SH SYNOPSIS\n",
                                escaped(program_version()));
  const char *separator = "";
  for (const CLI::App *command : commands_of(app))
  {
    out += separator + std::string(".B ") + escaped(usage_of(*command)) + "\n";
    separator = ".br\n";
  }
  out += ".SH DESCRIPTION\nA scenario (YAML) describes a dog, its tibia, an operation and what it does afterwards. "
         "stifle computes stance load, muscle and joint forces, thrust, the stress in bone, plate and screws, and "
         "the margin of each part against each way to fail, and writes tables, fields, pictures and a report page.\n.SH OPTIONS\n";
  for (const CLI::Option *option : dashed_options(app))
    out += entry(option_words(*option), meaning_of(*option));
  out += ".SH COMMANDS\n";
  for (const CLI::App *command : commands_of(app))
    out += command_text(*command);
  return out + ".SH FILES\n" +
         entry("DIR/scenario.yaml", "Every value used, with label and source; stifle run takes it back") +
         entry("DIR/summary.json", "Versions, assumptions, margins, times") + entry("DIR/*.csv", "The tables; README.md explains their columns") +
         entry("DIR/report.html", "The report page, opens from disk") + entry("DIR/fields.pvd", "Stress fields, for a viewer of VTK files") +
         entry("DIR/log.txt", "Every detail of what was done, with the time") + ".SH EXAMPLES AND EXIT STATUS\n" + paragraphs(app.get_footer());
}
} // namespace stifle::app
