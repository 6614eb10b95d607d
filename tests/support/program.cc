#include "tests/support/program.h"
#include "models/core/text_width.h"
#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <fcntl.h>
#include <filesystem>
#include <sstream>
#include <stdexcept>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace
{
int code_of(int status) { return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status); }
} // namespace

ProgramRun run_program(const std::string &arguments, const std::string &errors)
{
  const auto        start   = std::chrono::steady_clock::now();
  const std::string command = std::string(STIFLE_BINARY) + " " + arguments + (errors.empty() ? " 2>&1" : " 2>" + errors);
  FILE             *pipe    = popen(command.c_str(), "r");
  if (!pipe)
    throw std::runtime_error("cannot start " + command);
  ProgramRun             run;
  std::array<char, 4096> buffer;
  for (std::size_t n; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
    run.output.append(buffer.data(), n);
  run.exit_code = code_of(pclose(pipe));
  run.seconds   = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  return run;
}

std::vector<std::string> lines_of(const std::string &text)
{
  std::vector<std::string> lines;
  std::istringstream       stream(text);
  for (std::string line; std::getline(stream, line);)
    lines.push_back(line);
  return lines;
}

std::string wide_lines(const std::string &text)
{
  std::string wide, word;
  for (const std::string &line : lines_of(text))
  {
    int                longest = 0;
    std::istringstream words(line);
    while (words >> word)
      longest = std::max(longest, stifle::display_width(word));
    if (stifle::display_width(line) > 80 && longest < 60)
      wide += line + "\n";
  }
  return wide;
}

pid_t start_program(const std::vector<std::string> &arguments)
{
  const pid_t child = fork();
  if (child != 0)
    return child;
  std::vector<char *> words = {const_cast<char *>(STIFLE_BINARY)};
  for (const std::string &word : arguments)
    words.push_back(const_cast<char *>(word.c_str()));
  words.push_back(nullptr);
  std::signal(SIGINT, SIG_DFL); // a shell lets what it starts in the background ignore it
  const int quiet = open("/dev/null", O_WRONLY);
  dup2(quiet, 1);
  dup2(quiet, 2);
  execv(STIFLE_BINARY, words.data());
  _exit(127);
}

int wait_for(pid_t child)
{
  int status = 0;
  waitpid(child, &status, 0);
  return code_of(status);
}

ProgramRun run_and_signal(const std::vector<std::string> &arguments, int signal_number, double seconds)
{
  const pid_t child = start_program(arguments);
  std::this_thread::sleep_for(std::chrono::duration<double>(seconds));
  kill(child, signal_number);
  ProgramRun run;
  run.exit_code = wait_for(child);
  return run;
}

std::string fresh_folder(const std::string &name)
{
  const auto folder = std::filesystem::temp_directory_path() / ("stifle_" + name + "_" + std::to_string(getpid()));
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  return folder.string();
}
