// solver/dense.h - the few dense operations of the condensed cut, by LAPACK (OpenBLAS, one thread)
#pragma once
#include <Eigen/Dense>

namespace stifle::solver
{
/// Inverse of a symmetric positive definite matrix. Throws Error when it is not.
Eigen::MatrixXd inverse_spd(Eigen::MatrixXd matrix);
/// Inverse of L L^T from its lower factor.
Eigen::MatrixXd inverse_from_factor(Eigen::MatrixXd lower);
/// Solves A x = b by LU; false when A is singular. A is overwritten.
bool solve_general(Eigen::MatrixXd &matrix, Eigen::VectorXd &b);
/// C = A B (dgemm).
void multiply(const Eigen::MatrixXd &a, const Eigen::MatrixXd &b, Eigen::MatrixXd &c);
} // namespace stifle::solver
