// scenarios/app/store.h - which finished slopes in DIR/cases belong to this scenario, and clearing out what belongs to another
//   A fingerprint covers every value of the scenario, the content of every file it names, of the tables of activities,
//   materials and joint parts, and the program itself:
//   when one of them changes, nothing old is taken up.
#pragma once
#include "models/core/scenario.h"
#include "scenarios/app/slope_result.h"

namespace stifle::app
{
std::string fingerprint(const Scenario &scenario);
/// The same with another study.dog, out of that with none.
std::string fingerprint_of_dog(const std::string &without_dog, int dog);
/// Tables of a results folder that the joint leaves, and those of the construct.
const std::vector<std::string> &joint_tables();
const std::vector<std::string> &construct_tables();
std::string case_file(const std::string &folder, double target_deg, bool operated);

/// The fingerprint of the last run into this folder (its scenario.yaml belongs to it); empty when there is none.
std::string noted_fingerprint(const std::string &folder);

/// Removes tables, cases, fields and pictures of another fingerprint from a results folder and notes this one.
/// Returns true when something was removed. Other files in the folder are left alone.
bool clear_other_results(const std::string &folder, const std::string &fingerprint);

/// Makes the folder, opens its log, says what starts (between program version and caution) and the notes of the check, clears
/// the results of another fingerprint and writes scenario.yaml. Returns the fingerprint.
std::string start_results(const std::string &folder, const Scenario &scenario, const std::string &what,
                          const std::vector<std::string> &notes = {});

/// The last two steps alone. Any number of processes may start in a folder at once.
std::string settle_folder(const std::string &folder, const Scenario &scenario);

/// The slope that an earlier run of this fingerprint finished, said in the log; false when there is none.
bool take_up(const std::string &folder, const std::string &fingerprint, const Levelling &levelling, SlopeResult &slope);
/// Keeps a finished slope for take_up.
void keep_slope(const std::string &folder, const std::string &fingerprint, const SlopeResult &slope);

/// The finished slopes of this fingerprint: unoperated first, then by falling target.
std::vector<SlopeResult> finished_slopes(const std::string &folder, const std::string &fingerprint);
} // namespace stifle::app
