// models/core/error.h - the two kinds of failure a user can meet
//   Error       a computation failed: exit code 1; the message says which case and why
//   InputError  the input cannot be used: exit code 2; carries every problem found, nothing was computed
#pragma once
#include <stdexcept>
#include <string>
#include <vector>

namespace stifle
{
class Error : public std::runtime_error
{
public:
  using std::runtime_error::runtime_error;
};

/// One problem in an input file. Line and column count from 1; 0 means the whole file.
struct InputProblem
{
  std::string file;
  int         line   = 0;
  int         column = 0;
  std::string message; ///< one sentence, names the key
  std::string found;   ///< what stands there (shortened), may be empty
  std::string allowed; ///< range, list or form, may be empty
  std::string nearest; ///< nearest known word, may be empty
  std::string section; ///< key path for `stifle keys PATH`, may be empty
};

class InputError : public std::runtime_error
{
public:
  explicit InputError(std::vector<InputProblem> problems);
  const std::vector<InputProblem> &problems() const { return problems_; }

private:
  std::vector<InputProblem> problems_;
};

/// The text a user sees: one block a problem, then a count. Control characters are shown as escapes.
std::string format_problems(const std::vector<InputProblem> &problems);
/// Text from a user made safe to print: control characters and broken UTF-8 as escapes, cut after `max_bytes`.
std::string shown(const std::string &text, std::size_t max_bytes = 80);
} // namespace stifle
