// tests/support/program.h - runs the stifle binary and reads what it left
#pragma once
#include <string>
#include <sys/types.h>
#include <vector>

struct ProgramRun
{
  int         exit_code = -1; ///< 128 + n when ended by signal n
  std::string output;         ///< standard output and error together
  double      seconds = 0;
};
/// `arguments` go through the shell; STIFLE_BINARY is put before them. With a file for the errors `output` is standard output alone.
ProgramRun run_program(const std::string &arguments, const std::string &errors = "");
std::vector<std::string> lines_of(const std::string &text);
/// Lines of the output that take more than 80 columns, but for those with a word of 60 or more: a path stays whole.
std::string wide_lines(const std::string &text);
/// The program in the background, quiet. Its exit code, 128 + n when ended by signal n, is that of `wait_for`.
pid_t start_program(const std::vector<std::string> &arguments);
int   wait_for(pid_t child);
/// Starts the program, sends `signal_number` after `seconds`, waits for its end.
ProgramRun run_and_signal(const std::vector<std::string> &arguments, int signal_number, double seconds);
/// A new empty folder below the system's temporary folder.
std::string fresh_folder(const std::string &name);
