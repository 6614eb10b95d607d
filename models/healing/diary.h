// models/healing/diary.h - loadings of the operated limb a day by activity, and its share of the ground force, against weeks
//   file     models/healing/diary.yaml carries label and source of every table; healing.diary_table replaces it
//   week     >= 0; between rows linear, before the first and after the last row held
//   errors   InputError (file, line, column, key): unknown activity or key, weeks that do not rise, numbers out of range;
//            Error on a negative or non-finite week
//   source   alternatives.md 1d (counts) and section 3 (recovery)
#pragma once
#include "models/core/scenario.h"

namespace stifle
{
struct WeekTable
{
  std::vector<double> weeks, values; ///< one length, at least 1; weeks rise
  double at(double week) const;
};

struct ActivityCount
{
  std::string activity, label, source;
  WeekTable per_day;
};

struct Diary
{
  std::string name;
  std::vector<ActivityCount> counts;
  const ActivityCount *find(const std::string &activity) const;            ///< nullptr: never counted
  double loadings_per_day(const std::string &activity, double week) const; ///< 0 when never counted
};

struct LimbUse
{
  std::string name, label, source;
  WeekTable share; ///< of the ground force of a sound limb
};

struct DiaryFile
{
  std::vector<Diary> diaries;
  std::vector<LimbUse> limb_uses; ///< full is always among them
  std::vector<std::string> diary_names() const, limb_use_names() const;
};
/// `activities`: names a diary may use; empty allows every name.
DiaryFile read_diaries(const std::string &file, const std::vector<std::string> &activities = {});

/// The diary and the limb use a checked scenario asks for.
Diary diary_of(const Scenario &scenario);
LimbUse limb_use_of(const Scenario &scenario);
} // namespace stifle
