// scenarios/app/study_run.h - `stifle run` of a scenario that expands (study.vary, study.dogs)
//   processes  the one that was started sets --threads workers to work (the same program with STIFLE_WORKER=1, one thread each, quiet),
//              counts finished cases and merges the tables when all are; kill one and the others take its case over
//   sharing    further runs on the same folder, on this or another machine, do the same: who sees all cases finished merges. Merging
//              twice gives the same bytes
//   log        DIR/logs/HOST.PID.txt, one for each process
#pragma once
#include "models/core/study_variants.h"
#include "scenarios/app/commands.h"

namespace stifle::app
{
/// Every variant as `stifle check` does it; InputError names the lines of study.vary.
std::vector<std::string> check_variants(const Study &study);
/// Variants and cases in words.
std::string study_words(const Study &study);
/// The exit code. Throws Interrupted, LeftToOthers (--no-wait).
int run_study(const Study &study, const RunOptions &options);
} // namespace stifle::app
