// models/joint/dual.h - a number with its derivatives (forward automatic differentiation), for the joint's Newton steps
//   limits  only the operations the joint balance uses; comparisons look at the value alone
#pragma once
#include <Eigen/Dense>
#include <cmath>

namespace stifle
{
template <int N> struct DualNumber
{
  using Slope = Eigen::Matrix<double, N, 1>;
  double value = 0;
  Slope slope = Slope::Zero(); ///< with respect to the unknowns

  DualNumber() = default;
  DualNumber(double number) : value(number) {}
  DualNumber(double number, const Slope &derivative) : value(number), slope(derivative) {}
  static DualNumber unknown(double number, int index) { return {number, Slope::Unit(index)}; }

  friend DualNumber operator-(const DualNumber &a) { return {-a.value, -a.slope}; }
  friend DualNumber operator+(const DualNumber &a, const DualNumber &b) { return {a.value + b.value, a.slope + b.slope}; }
  friend DualNumber operator-(const DualNumber &a, const DualNumber &b) { return {a.value - b.value, a.slope - b.slope}; }
  friend DualNumber operator*(const DualNumber &a, const DualNumber &b)
  {
    return {a.value * b.value, a.slope * b.value + b.slope * a.value};
  }
  friend DualNumber operator/(const DualNumber &a, const DualNumber &b)
  {
    const double q = a.value / b.value;
    return {q, (a.slope - q * b.slope) / b.value};
  }
  friend DualNumber sqrt(const DualNumber &a)
  {
    const double r = std::sqrt(a.value);
    return {r, a.slope / (2 * r)};
  }
  DualNumber &operator+=(const DualNumber &b) { return *this = *this + b; }
};
using Dual = DualNumber<3>;

inline double value_of(double a) { return a; }
template <int N> double value_of(const DualNumber<N> &a) { return a.value; }

/// A vector in the sagittal plane: x cranial, z proximal.
template <class T> struct Plane
{
  T x{}, z{};
};
template <class T> Plane<T> operator+(const Plane<T> &a, const Plane<T> &b) { return {a.x + b.x, a.z + b.z}; }
template <class T> Plane<T> operator-(const Plane<T> &a, const Plane<T> &b) { return {a.x - b.x, a.z - b.z}; }
template <class T> Plane<T> operator*(const T &f, const Plane<T> &a) { return {f * a.x, f * a.z}; }
template <class T> T dot(const Plane<T> &a, const Plane<T> &b) { return a.x * b.x + a.z * b.z; }
/// Moment of force b at arm a about +y.
template <class T> T moment(const Plane<T> &arm, const Plane<T> &force) { return arm.z * force.x - arm.x * force.z; }
template <class T> T length(const Plane<T> &a)
{
  using std::sqrt;
  return sqrt(dot(a, a));
}
template <class T> Plane<T> unit(const Plane<T> &a) { return (T(1.0) / length(a)) * a; }
template <class T> Plane<T> in_plane(const Eigen::Vector3d &a) { return {T(a.x()), T(a.z())}; }
} // namespace stifle
