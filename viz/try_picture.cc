#include "viz/try_picture.h"
#include "models/core/error.h"
#include "viz/virtual_screen.h"

namespace stifle::viz
{
bool try_picture(const std::string &source, std::string *why, const std::function<void()> &draw)
{
  std::string    line;
  VirtualScreen  screen;
  if (!screen.ready())
    line = screen.problem();
  else
    try
    {
      draw();
      return true;
    }
    catch (const InputError &error)
    {
      line = "picture skipped: " + source + ": " + error.problems().front().message;
    }
    catch (const Error &error)
    {
      line = "picture skipped: " + source + ": " + error.what();
    }
  if (why)
    *why = line;
  return false;
}
} // namespace stifle::viz
