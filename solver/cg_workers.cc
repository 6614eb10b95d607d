#include "solver/cg_workers.h"
#include "models/core/error.h"
#include "solver/petsc_session.h"
#include <chrono>
#include <cstdlib>
#include <thread>

namespace stifle::solver
{
namespace
{
enum class Task : int
{
  model,
  state,
  end,
  home
};

/// A value or list on process 0 becomes that of all. The others sleep between looks: they must not take the processor from it.
void share(void *data, std::size_t bytes)
{
  constexpr std::size_t most = std::size_t(1) << 30;
  for (std::size_t done = 0; done < bytes; done += most)
  {
    MPI_Request request;
    int         ready = 0;
    MPI_Ibcast(static_cast<char *>(data) + done, static_cast<int>(std::min(most, bytes - done)), MPI_BYTE, 0, MPI_COMM_WORLD, &request);
    for (;;)
    {
      MPI_Test(&request, &ready, MPI_STATUS_IGNORE);
      if (ready)
        break;
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
  }
}
template <class T> void share(T &value) { share(&value, sizeof(T)); }
template <class T> void share_list(std::vector<T> &list)
{
  std::uint64_t n = list.size();
  share(n);
  list.resize(n);
  share(list.data(), n * sizeof(T));
}
void share_vector(Vector &v)
{
  std::uint64_t n = static_cast<std::uint64_t>(v.size());
  share(n);
  v.resize(static_cast<Eigen::Index>(n));
  share(v.data(), n * sizeof(double));
}

/// What an Elasticity is made from, as plain lists.
struct Body
{
  mesh::TetMesh                mesh;
  std::vector<CellMaterial>    own; ///< of every cell: its material may differ from its part's
  std::vector<ThreadFace>      threads;

  void share_all()
  {
    share_list(mesh.points);
    share_list(mesh.tetrahedra);
    share_list(mesh.part);
    share_list(mesh.component);
    for (auto *pairs : {&mesh.cut, &mesh.threads})
      share_list(*pairs);
    mesh.parts.resize(mesh.component.size());
    share_list(own);
    share_list(threads);
  }
};

/// The model that this process helps with.
struct Served
{
  Body       body;
  Elasticity elasticity;
  CutFaces   cut;
  CgStates   states;
  explicit Served(Body b)
    : body(std::move(b)), elasticity(body.mesh, std::vector<IsotropicMaterial>(body.mesh.parts.size()), body.own), cut(elasticity, true),
      states(elasticity, cut, body.threads, all_processes())
  {
  }
  static CgOptions all_processes()
  {
    CgOptions options;
    options.all_processes = true;
    return options;
  }
};

std::unique_ptr<Served> receive_model()
{
  Body body;
  body.share_all();
  return std::make_unique<Served>(std::move(body));
}

void share_state(Vector &nodal, CutLaw &law, std::vector<Eigen::Vector2d> &slid)
{
  share_vector(nodal);
  share(law);
  share_list(slid);
}

void give_task(Task task) { share(task); }
} // namespace

int process_number()
{
  const char *rank = std::getenv("OMPI_COMM_WORLD_RANK");
  return several_processes() && rank ? std::atoi(rank) : 0;
}

bool several_processes()
{
  const char *size = std::getenv("OMPI_COMM_WORLD_SIZE");
  return size && std::atoi(size) > 1;
}

void serve_cg()
{
  {
    const PetscSession start;
  }
  std::unique_ptr<Served> served;
  for (Task task = Task::end; task != Task::home;)
  {
    share(task);
    if (task == Task::model)
    {
      served.reset();
      served = receive_model();
    }
    if (task == Task::end)
      served.reset();
    if (task != Task::state)
      continue;
    Vector   nodal, u;
    CutLaw   law;
    CutState before;
    share_state(nodal, law, before.slid);
    served->states.close(nodal, law, &before, u);
  }
}

void dismiss_cg()
{
  if (!several_processes())
    return;
  const PetscSession session;
  give_task(Task::home);
}

void tell_model(const Elasticity &elasticity, const std::vector<ThreadFace> &threads)
{
  if (!several_processes())
    return;
  const PetscSession session;
  Body               body;
  body.mesh    = elasticity.mesh();
  body.threads = threads;
  for (std::size_t c = 0; c < elasticity.cells().size(); ++c)
  {
    CellMaterial own{c, elasticity.material(c), {}};
    if (const GeneralLaw *law = elasticity.law(c))
      own.law = *law;
    body.own.push_back(own);
  }
  give_task(Task::model);
  body.share_all();
}

void tell_state(const Vector &nodal, const CutLaw &law, const std::vector<Eigen::Vector2d> &slid)
{
  if (!several_processes())
    return;
  const PetscSession           session;
  Vector                       force = nodal;
  CutLaw                       same  = law;
  std::vector<Eigen::Vector2d> from  = slid;
  give_task(Task::state);
  share_state(force, same, from);
}

void tell_end()
{
  if (!several_processes())
    return;
  const PetscSession session;
  give_task(Task::end);
}
} // namespace stifle::solver
