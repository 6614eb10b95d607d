#include "viz/virtual_screen.h"
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <dlfcn.h>
#include <fcntl.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

namespace stifle::viz
{
namespace
{
/// Full path of a program on PATH, or empty.
std::string find_program(const std::string &name)
{
  const char *path = std::getenv("PATH");
  std::string rest = path ? path : "/usr/bin:/bin";
  while (!rest.empty())
  {
    const auto colon = rest.find(':');
    const std::string folder = rest.substr(0, colon);
    rest = colon == std::string::npos ? "" : rest.substr(colon + 1);
    const std::string file = folder + "/" + name;
    if (!folder.empty() && access(file.c_str(), X_OK) == 0)
      return file;
  }
  return "";
}

/// True when `display` answers and offers OpenGL with colour and depth. Through dlopen: a missing library is an answer too.
bool can_draw(const std::string &display)
{
  void *x11 = dlopen("libX11.so.6", RTLD_LAZY), *gl = dlopen("libGL.so.1", RTLD_LAZY);
  if (!x11 || !gl)
    return false;
  auto open = reinterpret_cast<void *(*)(const char *)>(dlsym(x11, "XOpenDisplay"));
  auto close = reinterpret_cast<int (*)(void *)>(dlsym(x11, "XCloseDisplay"));
  auto release = reinterpret_cast<int (*)(void *)>(dlsym(x11, "XFree"));
  auto has_glx = reinterpret_cast<int (*)(void *, int *, int *)>(dlsym(gl, "glXQueryExtension"));
  auto choose = reinterpret_cast<void *(*)(void *, int, const int *, int *)>(dlsym(gl, "glXChooseFBConfig"));
  if (!open || !close || !release || !has_glx || !choose)
    return false;
  void *connection = open(display.c_str());
  if (!connection)
    return false;
  int error = 0, event = 0, found = 0;
  const int wanted[] = {8, 8, 9, 8, 10, 8, 12, 16, 5, 1, 0}; // GLX: red, green, blue 8 bits, depth 16 bits, double buffer
  void *configs = has_glx(connection, &error, &event) ? choose(connection, 0, wanted, &found) : nullptr;
  if (configs)
    release(configs);
  close(connection);
  return found > 0;
}

/// First line that arrives within the time, without its line end; empty on failure.
std::string read_line(int file, int timeout_ms)
{
  std::string line;
  pollfd wait{file, POLLIN, 0};
  for (char c = 0; poll(&wait, 1, timeout_ms) == 1 && read(file, &c, 1) == 1 && c != '\n';)
    line += c;
  return line;
}
} // namespace

struct VirtualScreen::Server
{
  pid_t pid = -1;
  bool ready = false, changed = false;
  std::string problem, old_display;
  bool had_display = false;

  Server()
  {
    const char *user = std::getenv("DISPLAY");
    had_display = user != nullptr;
    old_display = user ? user : "";
    const std::string program = find_program("Xvfb");
    const std::string display = program.empty() ? "" : start(program);
    if (!display.empty() && can_draw(display))
    {
      ready = changed = true;
      setenv("DISPLAY", display.c_str(), 1);
    }
    else if (had_display && can_draw(old_display))
      ready = true;
    else if (program.empty())
      problem = "pictures skipped: no X screen (install the package xvfb, or set DISPLAY)";
    else
      problem = display.empty() ? "pictures skipped: Xvfb did not start"
                                : "pictures skipped: the X screen has no OpenGL (install the package libgl1-mesa-dri)";
  }

  ~Server()
  {
    if (changed && had_display)
      setenv("DISPLAY", old_display.c_str(), 1);
    else if (changed)
      unsetenv("DISPLAY");
    stop();
  }

  /// Starts Xvfb in a process group of its own, so that Ctrl-C reaches us first; it dies with us even after kill -9.
  std::string start(const std::string &program)
  {
    int pipe_ends[2];
    if (pipe2(pipe_ends, O_CLOEXEC) != 0)
      return "";
    const std::string number = std::to_string(pipe_ends[1]);
    // -noreset: else the server starts over whenever its last client leaves, as between two pictures, and turns clients away
    const char *arguments[] = {"Xvfb", "-displayfd", number.c_str(), "-screen", "0", "640x480x24", "-nolisten", "tcp", "-noreset", nullptr};
    pid = fork();
    if (pid == 0)
    {
      setpgid(0, 0);
      prctl(PR_SET_PDEATHSIG, SIGTERM);
      sigset_t none;
      sigemptyset(&none);
      sigprocmask(SIG_SETMASK, &none, nullptr);
      const int nothing = open("/dev/null", O_RDWR);
      dup2(nothing, 0), dup2(nothing, 1), dup2(nothing, 2);
      fcntl(pipe_ends[1], F_SETFD, 0);
      execv(program.c_str(), const_cast<char *const *>(arguments));
      _exit(127);
    }
    close(pipe_ends[1]);
    const std::string line = pid > 0 ? read_line(pipe_ends[0], 20000) : "";
    close(pipe_ends[0]);
    if (line.empty())
      stop();
    return line.empty() ? "" : ":" + line;
  }

  void stop()
  {
    if (pid <= 0)
      return;
    kill(pid, SIGTERM);
    for (int i = 0; i < 200; ++i) // 2 s, then by force
    {
      if (waitpid(pid, nullptr, WNOHANG) != 0)
      {
        pid = -1;
        return;
      }
      usleep(10000);
    }
    kill(pid, SIGKILL);
    waitpid(pid, nullptr, 0);
    pid = -1;
  }
};

VirtualScreen::VirtualScreen()
{
  static std::weak_ptr<Server> shared;
  server_ = shared.lock();
  if (!server_)
    shared = server_ = std::make_shared<Server>();
}
VirtualScreen::~VirtualScreen() = default;

bool VirtualScreen::ready() const { return server_->ready; }
const std::string &VirtualScreen::problem() const { return server_->problem; }
} // namespace stifle::viz
