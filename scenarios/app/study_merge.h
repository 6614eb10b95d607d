// scenarios/app/study_merge.h - the tables of all variants as one, study.csv and summary.json of a study
//   columns  those of one scenario, in their places and with their names, then `variant` and one column for each varied key: a reader
//            that goes by place or by name finds what it knows
//   rows     in the order of the study, whoever computed them; nothing in the tables depends on time, machine or process
//   also     writes the tables and summary.json of each variant in its folder
#pragma once
#include "scenarios/app/study_cases.h"

namespace stifle::app
{
struct MergedStudy
{
  std::vector<MarginRow> least; ///< the least margin of each variant that has one
  std::size_t            failed = 0; ///< cases and states
  std::string            table;      ///< a line a variant for the closing text, the first of them
};

MergedStudy merge_study(const Study &study, const StudyCases &cases, const std::string &folder, bool only_joint);
} // namespace stifle::app
