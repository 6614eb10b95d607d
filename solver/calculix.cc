#include "solver/calculix.h"
#include "models/core/error.h"
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fmt/format.h>
#include <fstream>
#include <set>
#include <sstream>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace stifle::solver
{
namespace
{
std::string nodes_block(const Elasticity &e, const std::vector<unsigned> &same)
{
  std::string text = "*NODE, NSET=NALL\n";
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    if (same[i] == i)
      text += fmt::format("{},{:.11e},{:.11e},{:.11e}\n", i + 1, e.nodes()[i].x(), e.nodes()[i].y(), e.nodes()[i].z());
  return text;
}

std::string element_line(const Elasticity &e, const std::vector<unsigned> &same, std::size_t cell)
{
  std::string line = std::to_string(cell + 1);
  for (const unsigned node : e.cells()[cell])
    line += "," + std::to_string(same[node] + 1);
  return line + "\n";
}

// D1111 D1122 D2222 D1133 D2233 D3333 D1112 D2212 | D3312 D1212 D1113 D2213 D3313 D1213 D1313 D1123 | D2223 D3323 D1223 D1323 D2323
std::string general_law_block(const VoigtTangent &c)
{
  constexpr int order[6] = {0, 1, 2, 3, 5, 4}; // CalculiX: 11 22 33 12 13 23; ours: xx yy zz xy yz xz
  std::string   text     = "*ELASTIC, TYPE=ANISO\n";
  int           written  = 0;
  for (int j = 0; j < 6; ++j)
    for (int i = 0; i <= j; ++i)
      text += fmt::format("{:.11e}{}", c(order[i], order[j]), ++written % 8 == 0 || written == 21 ? "\n" : ",");
  return text;
}

// Every cell with a material of its own.
std::string own_elements_block(const Elasticity &e, const std::vector<unsigned> &same)
{
  std::string text;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
    text += fmt::format("*ELEMENT, TYPE=C3D10, ELSET=P{0}\n{1}*MATERIAL, NAME=M{0}\n{2}*SOLID SECTION, ELSET=P{0}, MATERIAL=M{0}\n", c,
                        element_line(e, same, c),
                        e.law(c) ? general_law_block(e.law(c)->stiffness)
                                 : fmt::format("*ELASTIC\n{:.11e},{:.11e}\n", e.material(c).modulus_mpa, e.material(c).poisson_ratio));
  return text;
}

std::string material_block(std::size_t part, const IsotropicMaterial &elastic, const std::vector<PlasticMaterial> &plastic)
{
  std::string text = fmt::format("*MATERIAL, NAME=M{}\n*ELASTIC\n{:.11e},{:.11e}\n", part, elastic.modulus_mpa, elastic.poisson_ratio);
  if (plastic.empty() || !plastic[part].flows())
    return text;
  const PlasticMaterial &m = plastic[part];
  text += fmt::format("*PLASTIC\n{:.11e},0.\n", m.yield_mpa);
  if (m.hardening_mpa > 0) // flat from the last point on
    text += fmt::format("{:.11e},{:.11e}\n", m.ceiling_mpa, (m.ceiling_mpa - m.yield_mpa) / m.hardening_mpa);
  return text;
}

std::string elements_block(const Elasticity &e, const std::vector<unsigned> &same, const std::vector<PlasticMaterial> &plastic)
{
  if (e.has_own_materials())
    return own_elements_block(e, same);
  std::string text;
  for (std::size_t p = 0; p < e.mesh().parts.size(); ++p)
  {
    const IsotropicMaterial *material = nullptr;
    std::string              lines;
    for (std::size_t c = 0; c < e.cells().size(); ++c)
      if (e.mesh().part[c] == p)
      {
        material = &e.material(c);
        lines += element_line(e, same, c);
      }
    if (material)
      text += fmt::format("*ELEMENT, TYPE=C3D10, ELSET=P{0}\n{1}", p, lines) + material_block(p, *material, plastic) +
              fmt::format("*SOLID SECTION, ELSET=P{0}, MATERIAL=M{0}\n", p);
  }
  return text;
}

/// Faces of cells as CalculiX numbers them: S1 123, S2 142, S3 243, S4 341.
std::string faces_block(const Elasticity &e, const std::string &name, const std::vector<mesh::Triangle> &triangles)
{
  constexpr int corners[4][3] = {{0, 1, 2}, {0, 3, 1}, {1, 3, 2}, {2, 3, 0}};
  const auto    sorted        = [](mesh::Triangle t) {
    std::sort(t.begin(), t.end());
    return t;
  };
  std::set<mesh::Triangle> wanted;
  for (const mesh::Triangle &t : triangles)
    wanted.insert(sorted(t));
  std::string text = fmt::format("*SURFACE, NAME={}, TYPE=ELEMENT\n", name);
  for (std::size_t c = 0; c < e.cells().size(); ++c)
    for (int f = 0; f < 4; ++f)
      if (const Cell &cell = e.cells()[c]; wanted.count(sorted({cell[corners[f][0]], cell[corners[f][1]], cell[corners[f][2]]})))
        text += fmt::format("{},S{}\n", c + 1, f + 1);
  return text;
}

std::string contact_block(const Elasticity &e, const ContactLaw &law)
{
  std::vector<mesh::Triangle> proximal, distal;
  for (const mesh::FacePair &face : e.mesh().cut)
  {
    proximal.push_back(face.a);
    distal.push_back(face.b);
  }
  std::string text = faces_block(e, "SLAVE", distal) + faces_block(e, "MASTER", proximal) + "*SURFACE INTERACTION, NAME=CUT\n" +
                     fmt::format("*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR\n{:.11e},1e-4,1e-3\n", law.stiffness);
  if (law.friction > 0)
    text += fmt::format("*FRICTION\n{:.11e},{:.11e}\n", law.friction, law.stiffness);
  return text + "*CONTACT PAIR, INTERACTION=CUT, TYPE=NODE TO SURFACE, SMALL SLIDING\nSLAVE,MASTER\n";
}

// x, y, z at the lowest vertex, x and y at the one farthest in z, y at the one farthest in x from the first.
std::string support_block(const Elasticity &e, const std::vector<unsigned> &same)
{
  const auto &x = e.mesh().points;
  std::size_t low = 0, high = 0, side = 0;
  for (std::size_t i = 0; i < x.size(); ++i)
  {
    low  = x[i].z() < x[low].z() ? i : low;
    high = x[i].z() > x[high].z() ? i : high;
  }
  for (std::size_t i = 0; i < x.size(); ++i)
    side = std::abs(x[i].x() - x[low].x()) > std::abs(x[side].x() - x[low].x()) ? i : side;
  return fmt::format("*BOUNDARY\n{},1,3,0.\n{},1,2,0.\n{},2,2,0.\n", same[low] + 1, same[high] + 1, same[side] + 1);
}

std::string fixed_block(const std::vector<Fixed> &fixed, const std::vector<unsigned> &same)
{
  std::string text = "*BOUNDARY\n";
  for (const Fixed &f : fixed)
    text += fmt::format("{},{},{},{:.11e}\n", same[f.node] + 1, f.component + 1, f.component + 1, f.value_mm);
  return text;
}

/// The nodes whose reactions are printed.
std::string fixed_set(const std::vector<Fixed> &fixed, const std::vector<unsigned> &same)
{
  std::set<unsigned> nodes;
  for (const Fixed &f : fixed)
    nodes.insert(same[f.node]);
  std::string text = "*NSET, NSET=FIXED\n";
  for (const unsigned node : nodes)
    text += fmt::format("{},\n", node + 1);
  return text;
}

std::string load_block(const Elasticity &e, const std::vector<unsigned> &same, const Vector &force)
{
  if (force.size() == 0)
    return "";
  Vector merged = Vector::Zero(force.size());
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    merged.segment<3>(3 * same[i]) += force.segment<3>(3 * i);
  std::string text = "*CLOAD\n";
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    for (int c = 0; c < 3; ++c)
      if (std::abs(merged(3 * i + c)) > 1e-12 * force.cwiseAbs().maxCoeff())
        text += fmt::format("{},{},{:.11e}\n", i + 1, c + 1, merged(3 * i + c));
  return text;
}

/// The last increment printed counts.
void read_dat(const std::string &path, const Elasticity &e, CalculixResult &result)
{
  enum class Table
  {
    none,
    displacements,
    forces,
    stresses
  };
  std::ifstream    file(path);
  std::string      line;
  Table            table = Table::none;
  std::vector<int> count(e.cells().size(), 0);
  std::size_t      read = 0;
  while (std::getline(file, line))
  {
    const auto is = [&](const char *word) { return line.find(word) != std::string::npos; };
    if (is("displacements") || is("stresses") || is("forces"))
    {
      table = is("displacements") ? Table::displacements : is("stresses") ? Table::stresses : Table::forces;
      if (table == Table::stresses)
      {
        std::fill(count.begin(), count.end(), 0);
        result.mean_stress.assign(e.cells().size(), {{0, 0, 0, 0, 0, 0}});
      }
      continue;
    }
    std::istringstream words(line);
    long               id, point;
    double             v[6];
    if ((table == Table::displacements || table == Table::forces) && words >> id >> v[0] >> v[1] >> v[2] && id >= 1 &&
        id <= static_cast<long>(e.n_nodes()))
    {
      (table == Table::forces ? result.reaction : result.displacement).segment<3>(3 * (id - 1)) = Vector3(v[0], v[1], v[2]);
      read += table == Table::displacements;
    }
    else if (table == Table::stresses && words >> id >> point >> v[0] >> v[1] >> v[2] >> v[3] >> v[4] >> v[5] && id >= 1 &&
             id <= static_cast<long>(e.cells().size()))
    {
      const double in_our_order[6] = {v[0], v[1], v[2], v[3], v[5], v[4]}; // CalculiX: xx yy zz xy xz yz
      for (int k = 0; k < 6; ++k)
        result.mean_stress[id - 1][k] += in_our_order[k] / 4;
      ++count[id - 1];
    }
  }
  for (const int n : count)
    if (n != 4)
      throw Error("CalculiX: " + path + " does not hold four stresses for every element");
  if (read == 0)
    throw Error("CalculiX: " + path + " holds no displacement");
}

// fork and wait4, because only they tell the memory of this one process.
void run_process(const std::string &folder, int threads, CalculixResult &result)
{
  const auto  begin = std::chrono::steady_clock::now();
  const pid_t child = fork();
  if (child == 0)
  {
    setenv("OMP_NUM_THREADS", std::to_string(threads).c_str(), 1);
    if (chdir(folder.c_str()) == 0 && freopen("job.log", "w", stdout) && freopen("job.err", "w", stderr))
      execlp("ccx", "ccx", "job", static_cast<char *>(nullptr));
    _exit(127);
  }
  int    status = 0;
  rusage usage{};
  wait4(child, &status, 0, &usage);
  result.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  result.peak_mb = usage.ru_maxrss / 1024.0;
  // CalculiX may stop early and still exit with 0: its last lines say so.
  std::ifstream     log(folder + "/job.log");
  const std::string text((std::istreambuf_iterator<char>(log)), std::istreambuf_iterator<char>());
  if (child < 0 || !WIFEXITED(status) || WEXITSTATUS(status) != 0 || text.find("Job finished") == std::string::npos)
    throw Error("CalculiX: ccx failed or is not installed; see " + folder + "/job.log");
}
} // namespace

std::vector<unsigned> merged_nodes(const Elasticity &e, bool cut_too)
{
  std::vector<unsigned> same(e.n_nodes());
  for (std::size_t i = 0; i < same.size(); ++i)
    same[i] = static_cast<unsigned>(i);
  const auto join = [&](const mesh::Triangle &from, const mesh::Triangle &to) {
    const auto a = e.face_nodes(from), b = e.face_nodes(to);
    for (int i = 0; i < 6; ++i)
      same[a[i]] = same[b[i]];
  };
  if (!e.mesh().plate_contact.empty() || !e.mesh().seats.empty())
    throw Error("CalculiX: the deck knows neither plain heads nor a plate that presses on the bone");
  if (cut_too)
    for (const mesh::FacePair &face : e.mesh().cut)
      join(face.b, face.a);
  for (const mesh::FacePair &face : e.mesh().threads)
    join(face.a, face.b);
  return same;
}

CalculixResult run_calculix(const Elasticity &e, const CalculixJob &job, const std::string &folder)
{
  const std::vector<unsigned> same = merged_nodes(e, !job.contact);
  {
    const bool    at_once = !job.contact && job.plastic.empty();
    std::ofstream file(folder + "/job.inp");
    file << nodes_block(e, same) << elements_block(e, same, job.plastic) << (job.contact ? contact_block(e, *job.contact) : "");
    if (job.fixed.empty())
      file << support_block(e, same);
    else
      file << fixed_set(job.fixed, same);
    file << "*STEP, INC=1000\n*STATIC\n" << (at_once ? "" : fmt::format("{:g},1.\n", job.first_step))
         << (job.fixed.empty() ? "" : fixed_block(job.fixed, same)) << load_block(e, same, job.nodal_force)
         << "*NODE PRINT, NSET=NALL, FREQUENCY=1000\nU\n";
    if (!job.fixed.empty())
      file << "*NODE PRINT, NSET=FIXED, FREQUENCY=1000\nRF\n";
    file << "*ELSET, ELSET=EALL, GENERATE\n1," << e.cells().size() << "\n*EL PRINT, ELSET=EALL, FREQUENCY=1000\nS\n*END STEP\n";
    if (!file)
      throw Error("CalculiX: cannot write " + folder + "/job.inp");
  }
  CalculixResult result;
  run_process(folder, job.threads, result);
  result.displacement = result.reaction = Vector::Zero(3 * e.n_nodes());
  read_dat(folder + "/job.dat", e, result);
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    result.displacement.segment<3>(3 * i) = Vector3(result.displacement.segment<3>(3 * same[i]));
  return result;
}

CalculixResult run_calculix(const Elasticity &e, const Vector &force, const std::string &folder, int threads)
{
  CalculixJob job;
  job.nodal_force = force;
  job.threads     = threads;
  return run_calculix(e, job, folder);
}
} // namespace stifle::solver
