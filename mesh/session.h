// mesh/session.h - one Gmsh session as a guard: opens it quietly, closes it on every way out
//   STIFLE_GMSH in the environment shows Gmsh's own messages
//   limits  Gmsh keeps one global session: not for two threads, not inside another session
#pragma once

namespace stifle::mesh
{
class GmshSession
{
public:
  GmshSession();
  ~GmshSession();
  GmshSession(const GmshSession &) = delete;
  GmshSession &operator=(const GmshSession &) = delete;
};
} // namespace stifle::mesh
