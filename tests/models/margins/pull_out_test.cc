#include "models/margins/pull_out.h"

#include "models/core/error.h"

#include <cmath>
#include <gtest/gtest.h>

using namespace stifle;

// Requirement: the test targets of construct.md 1.10 to 1e-6.
TEST(PullOut, FollowsTheSheet)
{
  const ScrewSize cortex = find_screw_size("cortex_3.5");
  EXPECT_NEAR(thread_shape_factor(cortex), 0.754034, 1e-6);
  EXPECT_NEAR(pull_out_n(cortex, 40, 3), 994.924, 994.924e-6);
  EXPECT_NEAR(pull_out_n(cortex, 5, 20), 829.104, 829.104e-6);
  EXPECT_NEAR(thread_shape_factor(find_screw_size("locking_3.5")), 0.716506, 1e-6);
}

// Requirement: 717.8 N belong to S L = 86.575 N/mm (construct.md 1.10).
TEST(PullOut, GivesTheMeasuredForceBack) { EXPECT_NEAR(pull_out_n(find_screw_size("cortex_3.5"), 86.575 / 30, 30), 717.8, 0.01); }

// Requirement (law): layers add up, and twice the length holds twice the force.
TEST(PullOut, LayersAddUp)
{
  const ScrewSize screw = find_screw_size("locking_3.5");
  const double core = pull_out_n(screw, cancellous_host(554.5).shear_mpa, 20), shell = pull_out_n(screw, 67, 2);
  EXPECT_NEAR(thread_hold_n(screw, {{cancellous_host(554.5), 20}, {cortical_host(), 2}}), core + shell, 1e-9);
  EXPECT_DOUBLE_EQ(pull_out_n(screw, 67, 4), 2 * shell);
  EXPECT_EQ(thread_hold_n(screw, {}), 0);
}

// Requirement: hand calculation 554.5 x 0.007 x 67/133 = 1.95534 MPa; the density solves
// its law.
TEST(PullOut, HostOfCancellousBoneIsAnAssumption)
{
  EXPECT_NEAR(cancellous_host(554.5).shear_mpa, 1.95534, 1e-5);
  EXPECT_EQ(cancellous_host(554.5).label, "assumption");
  EXPECT_EQ(cortical_host().label, "memory");
  EXPECT_NEAR(15520 * std::pow(cancellous_density(554.5), 1.93), 554.5, 1e-9);
}

TEST(PullOut, RefusesNumbersThatMeanNothing)
{
  const ScrewSize screw = find_screw_size("cortex_3.5");
  EXPECT_THROW(pull_out_n(screw, 0, 3), Error);
  EXPECT_THROW(pull_out_n(screw, 40, -1), Error);
  EXPECT_THROW(pull_out_n(screw, NAN, 3), Error);
  EXPECT_THROW(cancellous_host(0), Error);
  EXPECT_THROW(thread_shape_factor(ScrewSize{}), Error);
}
