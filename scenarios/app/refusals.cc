#include "scenarios/app/refusals.h"
#include "models/core/nearest.h"
#include "models/core/parameter_list.h"
#include "models/core/read_yaml_tree.h"
#include <algorithm>
#include <cctype>

namespace stifle::app
{
namespace
{
bool goes_on(char c) { return std::isalnum(static_cast<unsigned char>(c)) || c == '_'; }

bool names(const std::string &text, const std::string &path)
{
  for (std::size_t at = text.find(path); at != std::string::npos; at = text.find(path, at + 1))
    if ((at == 0 || !goes_on(text[at - 1])) && (at + path.size() == text.size() || !goes_on(text[at + path.size()])))
      return true;
  return false;
}

std::string without_numbers(std::string text)
{
  const auto digit = [](unsigned char c) { return std::isdigit(c) || c == '.' || c == '-'; };
  text.erase(std::remove_if(text.begin(), text.end(), digit), text.end());
  return text;
}

/// Keys that a reason names, in the order of the declaration.
std::vector<DeclaredKey> named_keys(Scenario &defaults, const std::string &why)
{
  std::vector<DeclaredKey> named;
  for (const DeclaredKey &key : declared_keys(defaults))
    if (!key.section.empty() && names(why, key.path()))
      named.push_back(key);
  return named;
}
} // namespace

void Refusals::add(const std::string &what, const std::string &why, const std::string &allowed)
{
  const auto same = std::find_if(reasons_.begin(), reasons_.end(), [&](const Reason &r) { return without_numbers(r.why) == without_numbers(why); });
  if (same == reasons_.end())
    reasons_.push_back({{what}, why, allowed, true});
  else
  {
    same->what.push_back(what);
    same->alike = same->alike && same->why == why;
  }
}

InputProblem Refusals::problem_of(const Reason &reason) const
{
  Scenario     defaults;
  InputProblem problem;
  problem.file    = file_;
  problem.message = join(reason.what) + " cannot be done on this bone";
  problem.found   = reason.why + (reason.alike ? "" : " (" + reason.what.front() + "; numbers of the others differ)");
  problem.allowed = reason.allowed;
  const YamlNode root = read_yaml_tree(file_);
  for (const DeclaredKey &key : named_keys(defaults, reason.why))
  {
    const YamlNode *section = root.find(key.section), *value = section ? section->find(key.key) : nullptr;
    if (problem.section.empty() || (value && problem.line == 0)) // one that the user wrote comes before one left at its default
    {
      problem.section = key.path();
      problem.line    = value ? value->line : 0;
      problem.column  = value ? value->column : 0;
    }
  }
  if (!problem.section.empty())
    problem.message += ": " + problem.section;
  return problem;
}

void Refusals::finish() const
{
  if (reasons_.empty())
    return;
  std::vector<InputProblem> problems;
  for (const Reason &reason : reasons_)
    problems.push_back(problem_of(reason));
  throw InputError(problems);
}
} // namespace stifle::app
