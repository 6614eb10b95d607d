// scenarios/app/commands.h - one function per command of `stifle`; each returns the exit code of the program
//   exit    0 done, 1 a computation failed, 2 bad input (InputError, printed by main), 130 interrupted
//   errors  InputError and Error pass through to main.cc, which prints them and chooses the code
#pragma once
#include <string>
#include <vector>

namespace stifle::app
{
/// One sentence under every output that could be mistaken for advice.
std::string caution();

struct RunOptions
{
  std::string file;
  std::string out;                ///< "" = out/<name of the scenario>
  int         threads    = 2;     ///< 1 to 256
  std::string solver     = "auto"; ///< direct, cg, auto (solver::SolverKind)
  bool        only_joint = false; ///< stops after the joint: no mesh, no stress
  bool        refine     = false; ///< the worst state again on a finer mesh (refine.h)
  bool        json       = false; ///< progress as JSON on standard output (stages.h)
  bool        no_wait    = false; ///< ends where other processes work on the rest
};
/// Throws InputError when `folder` exists and is no folder ("" is fine).
void check_results_folder(const std::string &folder);
int run_command(const RunOptions &options);                                         ///< run.cc
int validate_command(const std::vector<std::string> &ids, const std::string &out);  ///< validate.cc
int report_command(const std::string &folder);                                      ///< report.cc

int check_command(const std::string &file);  ///< reads and validates; computes and writes nothing
int keys_command(const std::string &path, bool markdown); ///< prints the manual of all keys, a section or one key
int new_command(const std::string &file);    ///< writes a commented scenario; refuses to overwrite
} // namespace stifle::app
