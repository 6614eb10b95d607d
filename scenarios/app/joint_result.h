// scenarios/app/joint_result.h - what the joint tier of one variant leaves for the merged results, and its file DIR/cases/joint.json
#pragma once
#include "scenarios/app/tables.h"

namespace stifle::app
{
struct JointResult
{
  NeutralAngles neutral; ///< of its bands what summary.json tells; bands.csv has all
  std::string   error;   ///< not empty: the joint of this variant failed; its tables are not whole
};

std::string joint_file(const std::string &folder);
std::string joint_text(const JointResult &result, const std::string &fingerprint);
/// Throws Error when the text is not one of this fingerprint.
JointResult read_joint_text(const std::string &text, const std::string &fingerprint);
} // namespace stifle::app
