// scenarios/app/study_cases.h - the cases of a study: of every variant the joint and each plateau slope
//   folder   DIR/variants/NAME: what a run of the variant's own scenario.yaml leaves, without pictures and report
//   case     the joint (cases/joint.json) or a slope (cases/*.json as in a run of one scenario). Finished: the file is there and the
//            folder is noted with the fingerprint of the variant. A failed case is finished too: its file holds the reason
//   order    variants as in Study, then joint, unoperated bone, levelling targets
#pragma once
#include "models/core/study_variants.h"
#include "models/study/one_dog.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/construct_tier.h"
#include "scenarios/app/joint_result.h"
#include "scenarios/app/shared_work.h"

namespace stifle::app
{
/// What the cases of one variant are computed from.
struct VariantPlan
{
  Scenario      written; ///< a scenario of its own: the echo in its folder
  OneDog        dog;     ///< what is computed
  ConstructPlan construct;
};

/// What one finished variant left.
struct VariantResult
{
  JointResult joint;
  JudgedSlopes judged; ///< no slopes with `only_joint`; one that failed holds its error
};

class StudyCases
{
public:
  StudyCases(const Study &study, const RunOptions &options);

  std::size_t size() const { return first_.back() * study_.dogs_each(); }
  std::string name(std::size_t index) const; ///< of the claim: NAME.joint, NAME.levelled_+06.00
  bool        finished(std::size_t index) const;
  bool        run(std::size_t index, const ClaimBoard &board) const; ///< false: not kept, it was taken over meanwhile

  const std::string &variant_name(std::size_t variant) const { return names_[variant]; }
  std::string        folder(std::size_t variant) const { return folder_ + "/variants/" + names_[variant]; }
  VariantPlan        plan(std::size_t variant) const;
  VariantResult      result(std::size_t variant, const VariantPlan &plan) const; ///< of a variant whose cases are all finished

private:
  struct Place
  {
    std::size_t variant;
    int         slope; ///< -1: the joint; 0: unoperated; 1...: levelling targets
  };
  Place       place(std::size_t index) const;
  std::string mark(std::size_t variant) const;
  std::string case_path(const Place &place) const;
  std::string computed(const VariantPlan &plan, int slope) const; ///< text of its file
  std::string given_up(const VariantPlan &plan, int slope, const std::string &why) const;
  SlopeResult run_slope_of(const VariantPlan &plan, int slope) const;

  const Study             &study_;
  std::string              folder_;
  bool                     only_joint_;
  solver::SolverKind       solver_;
  std::vector<std::string> names_;
  std::vector<std::size_t> first_; ///< cases of one dog before each combination, and of all
  std::vector<std::string> marks_; ///< of each combination, without a drawn dog
};
} // namespace stifle::app
