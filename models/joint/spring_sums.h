// models/joint/spring_sums.h - springs between femur and tibia added up: wrench on the tibia and its slope (bed_wrench.h)
//   frame    that of the femoral surface, about its origin; `carried` of bed_wrench.h brings the result to the tibia
//   numbers  T is double, or Lanes<W> for W springs at once (models/joint/lanes.h)
//   terms    a spring at q with force F along the normal m, dF / d depth = K, H = change of m with q. With u = d + w x q: d depth =
//            m.u, dm = w x m - H u, so with k = K m m' - F H: force by shift k, force by turn -k [q], moment by turn -[q] k [q], and
//            from w x m: -F ([m], [q][m]). Written out in numbers: small matrices of Eigen cost twice the time here
#pragma once
#include "models/joint/bed_wrench.h"
#include "models/joint/surface_at.h"

namespace stifle
{
template <class T> class SpringSums
{
public:
  SpringSums()
  {
    for (int i = 0; i < 3; ++i)
    {
      force_[i] = moment_[i] = T(0.0);
      for (int j = 0; j < 3; ++j)
        by_shift_[i][j] = by_turn_[i][j] = moment_by_turn_[i][j] = T(0.0);
    }
  }

  void add(const T (&q)[3], const SurfaceAt<T> &at, const T &force_n, const T &stiffness)
  {
    const T &x = q[0], &y = q[1], &z = q[2];
    const auto &m = at.outward;
    const T along = force_n * (x * m[0] + y * m[1] + z * m[2]);
    T turn[3][3]; // -k [q]: rows q x k_i
    for (int i = 0; i < 3; ++i)
    {
      T k[3];
      for (int j = 0; j < 3; ++j)
        k[j] = stiffness * m[i] * m[j] - force_n * at.curvature[j][i];
      turn[i][0] = y * k[2] - z * k[1];
      turn[i][1] = z * k[0] - x * k[2];
      turn[i][2] = x * k[1] - y * k[0];
      force_[i] += force_n * m[i];
      moment_by_turn_[i][i] += along;
      for (int j = 0; j < 3; ++j)
      {
        by_shift_[j][i] += k[j];
        by_turn_[i][j] += turn[i][j];
        moment_by_turn_[i][j] -= force_n * m[i] * q[j]; // -[q][m] = (q.m) 1 - m q'
      }
    }
    for (int j = 0; j < 3; ++j) // q x the columns
    {
      moment_by_turn_[0][j] += y * turn[2][j] - z * turn[1][j];
      moment_by_turn_[1][j] += z * turn[0][j] - x * turn[2][j];
      moment_by_turn_[2][j] += x * turn[1][j] - y * turn[0][j];
    }
    moment_[0] += force_n * (y * m[2] - z * m[1]);
    moment_[1] += force_n * (z * m[0] - x * m[2]);
    moment_[2] += force_n * (x * m[1] - y * m[0]);
  }

  Vector6 wrench() const
  {
    Vector6 sum;
    for (int i = 0; i < 3; ++i)
    {
      sum(i) = total(force_[i]);
      sum(3 + i) = total(moment_[i]);
    }
    return sum;
  }

  Matrix6 slope() const
  {
    Matrix3 by_shift, by_turn, moment_by_turn;
    for (int i = 0; i < 3; ++i)
      for (int j = 0; j < 3; ++j)
      {
        by_shift(i, j) = total(by_shift_[i][j]);
        by_turn(i, j) = total(by_turn_[i][j]);
        moment_by_turn(i, j) = total(moment_by_turn_[i][j]);
      }
    const Vector3 force(total(force_[0]), total(force_[1]), total(force_[2]));
    Matrix6 all;
    all << by_shift, by_turn - cross_matrix(force), by_turn.transpose(), moment_by_turn;
    return all;
  }

private:
  T force_[3], moment_[3], by_shift_[3][3], by_turn_[3][3], moment_by_turn_[3][3];
};
} // namespace stifle
