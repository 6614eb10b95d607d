#include "benchmarks/solver_speed/calculix_deck.h"
#include <chrono>
#include <fmt/os.h>
#include <fstream>
#include <numeric>
#include <set>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace stifle::bench
{
namespace
{
/// One number for all nodes that coincide across a bonded face.
std::vector<unsigned> joined(const solver::Elasticity &elasticity)
{
  std::vector<unsigned> root(elasticity.n_nodes());
  std::iota(root.begin(), root.end(), 0u);
  const auto find = [&](unsigned i) {
    while (root[i] != i)
      i = root[i];
    return i;
  };
  for (const auto *faces : {&elasticity.mesh().cut, &elasticity.mesh().threads})
    for (const mesh::FacePair &pair : *faces)
    {
      const auto a = elasticity.face_nodes(pair.a), b = elasticity.face_nodes(pair.b);
      for (int i = 0; i < 6; ++i)
        root[find(b[i])] = find(a[i]);
    }
  for (unsigned i = 0; i < root.size(); ++i)
    root[i] = find(i);
  return root;
}

void write_model(fmt::ostream &out, const solver::Elasticity &e, const std::vector<unsigned> &root)
{
  out.print("*NODE, NSET=ALL\n");
  for (unsigned i = 0; i < root.size(); ++i)
    if (root[i] == i)
      out.print("{}, {:.11e}, {:.11e}, {:.11e}\n", i + 1, e.nodes()[i][0], e.nodes()[i][1], e.nodes()[i][2]);
  const mesh::TetMesh &mesh = e.mesh();
  for (std::size_t part = 0; part < mesh.parts.size(); ++part)
  {
    out.print("*ELEMENT, TYPE=C3D10, ELSET=P{}\n", part);
    std::size_t first = mesh.part.size();
    for (std::size_t cell = 0; cell < mesh.part.size(); ++cell)
    {
      if (mesh.part[cell] != part)
        continue;
      first = std::min(first, cell);
      out.print("{}", cell + 1);
      for (const unsigned node : e.cells()[cell]) // the node order of C3D10 is that of solver::Cell
        out.print(", {}", root[node] + 1);
      out.print("\n");
    }
    if (first == mesh.part.size())
      continue;
    out.print("*MATERIAL, NAME=M{0}\n*ELASTIC\n{1:.8g}, {2:.8g}\n*SOLID SECTION, ELSET=P{0}, MATERIAL=M{0}\n", part,
              e.material(first).modulus_mpa, e.material(first).poisson_ratio);
  }
}
} // namespace

void write_deck(const std::string &folder, const solver::Elasticity &e, const solver::Vector &force)
{
  const std::vector<unsigned> root = joined(e);
  auto                        out  = fmt::output_file(folder + "/job.inp");
  write_model(out, e, root);
  std::set<unsigned> held;
  if (const mesh::Surface *talar = e.mesh().find_surface("talar"))
    for (const mesh::Triangle &t : talar->triangles)
      for (const unsigned node : e.face_nodes(t))
        held.insert(root[node]);
  out.print("*BOUNDARY\n");
  for (const unsigned node : held)
    out.print("{}, 1, 3\n", node + 1);
  std::vector<Vector3> sum(root.size(), Vector3::Zero());
  for (unsigned i = 0; i < root.size(); ++i)
    sum[root[i]] += force.segment<3>(3 * i);
  out.print("*STEP\n*STATIC\n*CLOAD\n");
  for (unsigned i = 0; i < root.size(); ++i)
    for (int c = 0; c < 3; ++c)
      if (std::abs(sum[i][c]) > 1e-9 && !held.count(i))
        out.print("{}, {}, {:.11e}\n", i + 1, c + 1, sum[i][c]);
  out.print("*NODE FILE\nU\n*EL FILE\nS\n*END STEP\n");
}

ProcessCost run_calculix(const std::string &folder, int threads)
{
  const auto  start = std::chrono::steady_clock::now();
  const pid_t child = fork();
  if (child == 0)
  {
    setenv("OMP_NUM_THREADS", std::to_string(threads).c_str(), 1);
    if (chdir(folder.c_str()) != 0 || !freopen("ccx.log", "w", stdout) || !freopen("ccx.err", "w", stderr))
      _exit(127);
    execl("/usr/bin/ccx", "ccx", "job", static_cast<char *>(nullptr));
    _exit(127);
  }
  int    status = 0;
  rusage usage{};
  wait4(child, &status, 0, &usage);
  ProcessCost cost;
  // CalculiX may stop early and still exit with 0: its last line says so.
  std::ifstream     log(folder + "/ccx.log");
  const std::string text((std::istreambuf_iterator<char>(log)), std::istreambuf_iterator<char>());
  cost.ok      = WIFEXITED(status) && WEXITSTATUS(status) == 0 && text.find("Job finished") != std::string::npos;
  cost.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  cost.peak_mb = usage.ru_maxrss / 1024.0;
  return cost;
}
} // namespace stifle::bench
