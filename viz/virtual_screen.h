// viz/virtual_screen.h - an X screen nobody sees, for pictures: Debian's VTK draws through X only and aborts without one
//   Starts Xvfb (its pid kept) and ends it with the last copy of the object; DISPLAY is set meanwhile and put back after.
//   Without Xvfb the user's own DISPLAY serves, if it answers. Objects that live at the same time share one screen, so a
//   caller with many pictures holds one. Needs the packages xvfb and libgl1-mesa-dri. Call from one thread at a time.
#pragma once
#include <memory>
#include <string>

namespace stifle::viz
{
class VirtualScreen
{
public:
  VirtualScreen();
  ~VirtualScreen();

  bool ready() const;
  const std::string &problem() const; ///< one line for the user when not ready

private:
  struct Server;
  std::shared_ptr<Server> server_;
};
} // namespace stifle::viz
