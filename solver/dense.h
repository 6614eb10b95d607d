// solver/dense.h - the few dense operations of the condensed cut, by LAPACK (OpenBLAS, one thread)
#pragma once
#include <Eigen/Dense>

namespace stifle::solver
{
/// Inverse of a symmetric positive definite matrix. Throws Error when it is not.
Eigen::MatrixXd inverse_spd(Eigen::MatrixXd matrix);
/// Solves A^T x = b by LU; false when A is singular. A is overwritten.
bool solve_transposed(Eigen::MatrixXd &matrix, Eigen::VectorXd &b);
bool solve_transposed(Eigen::MatrixXf &matrix, Eigen::VectorXf &b);
/// L L^T of a lower triangle.
Eigen::MatrixXd lower_times_transpose(const Eigen::MatrixXd &lower);
} // namespace stifle::solver
