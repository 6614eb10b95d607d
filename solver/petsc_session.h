// solver/petsc_session.h - PETSc started once, its errors as Error, its objects owned
//   A PetscSession holds the lock of this process: PETSc is used by one thread at a time.
#pragma once
#include <mutex>
#include <petscksp.h>
#include <utility>

namespace stifle::solver
{
class PetscSession
{
public:
  PetscSession(); ///< starts MPI and PETSc when they are not running; they end with the program

private:
  std::lock_guard<std::recursive_mutex> lock_;
};

/// Throws Error with PETSc's message.
void petsc(PetscErrorCode code);

inline PetscErrorCode destroy(Mat *x) { return MatDestroy(x); }
inline PetscErrorCode destroy(Vec *x) { return VecDestroy(x); }
inline PetscErrorCode destroy(KSP *x) { return KSPDestroy(x); }
inline PetscErrorCode destroy(VecScatter *x) { return VecScatterDestroy(x); }
inline PetscErrorCode destroy(MatNullSpace *x) { return MatNullSpaceDestroy(x); }

/// Owner of one PETSc object.
template <class Object> class Petsc
{
public:
  Petsc() = default;
  Petsc(Object object) : object_(object) {}
  Petsc(Petsc &&other) noexcept : object_(std::exchange(other.object_, nullptr)) {}
  Petsc &operator=(Petsc &&other) noexcept
  {
    std::swap(object_, other.object_);
    return *this;
  }
  ~Petsc() { destroy(&object_); }
  operator Object() const { return object_; }
  Object *receive() ///< for functions that create
  {
    destroy(&object_);
    return &object_;
  }

private:
  Object object_ = nullptr;
};
} // namespace stifle::solver
