#include "solver/reference_element.h"
#include "models/core/error.h"
#include <deal.II/base/quadrature_lib.h>
#include <deal.II/fe/fe_simplex_p.h>

namespace stifle::solver
{
namespace
{
// deal.II orders the edges in its own way: find each of our nodes by its place.
template <int dim, int n>
std::array<unsigned, n> find_order(const dealii::FiniteElement<dim> &element, const int (*edges)[2])
{
  std::array<dealii::Point<dim>, n> place;
  for (int d = 0; d < dim; ++d)
    place[d + 1][d] = 1;
  for (int i = dim + 1; i < n; ++i)
    place[i] = place[edges[i - dim - 1][0]] + 0.5 * (place[edges[i - dim - 1][1]] - place[edges[i - dim - 1][0]]);
  std::array<unsigned, n> order{};
  const auto             &support = element.get_unit_support_points();
  for (int i = 0; i < n; ++i)
  {
    unsigned k = 0;
    while (k < support.size() && support[k].distance(place[i]) > 1e-12)
      ++k;
    if (k == support.size())
      throw Error("the quadratic simplex of deal.II has no node where one is expected");
    order[i] = k;
  }
  return order;
}

template <int dim> Eigen::Matrix<double, dim + 1, 1> barycentric_of(const dealii::Point<dim> &p)
{
  Eigen::Matrix<double, dim + 1, 1> b;
  b(0) = 1;
  for (int d = 0; d < dim; ++d)
  {
    b(d + 1) = p[d];
    b(0) -= p[d];
  }
  return b;
}

template <int dim, int n, class Point>
std::vector<Point> tabulate(const dealii::FiniteElement<dim> &element, const std::array<unsigned, n> &order,
                            const dealii::Quadrature<dim> &rule)
{
  std::vector<Point> points;
  double             sum = 0;
  for (const double w : rule.get_weights())
    sum += w;
  if (rule.size() == 0 || std::abs(sum - (dim == 3 ? 1.0 / 6 : 0.5)) > 1e-12)
    throw Error("a quadrature rule of deal.II does not integrate a constant");
  for (unsigned q = 0; q < rule.size(); ++q)
  {
    Point p;
    p.weight      = rule.weight(q) / sum;
    p.barycentric = barycentric_of<dim>(rule.point(q));
    for (int i = 0; i < n; ++i)
      p.shape(i) = element.shape_value(order[i], rule.point(q));
    points.push_back(p);
  }
  return points;
}

ReferenceElement make_reference()
{
  const dealii::FE_SimplexP<3> solid(2);
  const dealii::FE_SimplexP<2> face(2);
  const auto                   solid_order = find_order<3, 10>(solid, tetrahedron_edges);
  const auto                   face_order  = find_order<2, 6>(face, triangle_edges);
  ReferenceElement             r;
  for (int c = 0; c < 4; ++c)
  {
    dealii::Point<3> p;
    if (c > 0)
      p[c - 1] = 1;
    for (int i = 0; i < 10; ++i)
      for (int d = 0; d < 3; ++d)
        r.corner_gradients[c](d, i) = solid.shape_grad(solid_order[i], p)[d];
  }
  r.stiffness_points = tabulate<3, 10, TetrahedronPoint>(solid, solid_order, dealii::QGaussSimplex<3>(2));
  r.load_points      = tabulate<3, 10, TetrahedronPoint>(solid, solid_order, dealii::QGaussSimplex<3>(4));
  r.face_points      = tabulate<2, 6, TrianglePoint>(face, face_order, dealii::QWitherdenVincentSimplex<2>(2));
  r.traction_points  = tabulate<2, 6, TrianglePoint>(face, face_order, dealii::QWitherdenVincentSimplex<2>(4));
  r.face_mass.setZero();
  for (const TrianglePoint &q : r.traction_points)
    r.face_mass += q.weight * q.shape * q.shape.transpose();
  return r;
}
} // namespace

ShapeGradients ReferenceElement::gradients(const Eigen::Vector4d &b) const
{
  return b(0) * corner_gradients[0] + b(1) * corner_gradients[1] + b(2) * corner_gradients[2] + b(3) * corner_gradients[3];
}

const ReferenceElement &reference_element()
{
  static const ReferenceElement r = make_reference();
  return r;
}
} // namespace stifle::solver
