// models/joint/dual.h - a number with its three derivatives (forward automatic differentiation), for the joint's Newton steps
//   limits  only the operations the joint balance uses; comparisons look at the value alone
#pragma once
#include <Eigen/Dense>
#include <cmath>

namespace stifle
{
struct Dual
{
  double value = 0;
  Eigen::Vector3d slope = Eigen::Vector3d::Zero(); ///< with respect to the three unknowns

  Dual() = default;
  Dual(double number) : value(number) {}
  Dual(double number, const Eigen::Vector3d &derivative) : value(number), slope(derivative) {}
  static Dual unknown(double number, int index) { return {number, Eigen::Vector3d::Unit(index)}; }
};

inline double value_of(double a) { return a; }
inline double value_of(const Dual &a) { return a.value; }

inline Dual operator-(const Dual &a) { return {-a.value, -a.slope}; }
inline Dual operator+(const Dual &a, const Dual &b) { return {a.value + b.value, a.slope + b.slope}; }
inline Dual operator-(const Dual &a, const Dual &b) { return {a.value - b.value, a.slope - b.slope}; }
inline Dual operator*(const Dual &a, const Dual &b) { return {a.value * b.value, a.slope * b.value + b.slope * a.value}; }
inline Dual operator/(const Dual &a, const Dual &b)
{
  const double q = a.value / b.value;
  return {q, (a.slope - q * b.slope) / b.value};
}
inline Dual &operator+=(Dual &a, const Dual &b) { return a = a + b; }
inline Dual sqrt(const Dual &a)
{
  const double r = std::sqrt(a.value);
  return {r, a.slope / (2 * r)};
}

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
