// viz/field_list.h - the field files of a run as ParaView opens them: time is the week, named blocks are slope and state
//   FOLDER/fields/week_NN.NN.vtm  one a week: a block for each slope, inside it one for each state, named in words
//   FOLDER/fields.pvd             list of those; its time axis is the week
//   The field files themselves stay as they are. Needs no display. Throws Error when a file cannot be written.
#pragma once
#include <string>
#include <vector>

namespace stifle::viz
{
struct FieldEntry
{
  std::string file;         ///< relative to FOLDER, in FOLDER/fields
  double      week = 0;
  std::string slope, state; ///< names of the blocks: "levelled to 6 deg", "trot, 50 % of stance"
};

/// Entries in any order of weeks; slopes and states keep the order given. Nothing is written for no entries.
void write_field_list(const std::string &folder, const std::vector<FieldEntry> &entries);

struct PvdEntry
{
  std::string file;    ///< relative to the folder of the PVD
  double timestep = 0; ///< ParaView's time
  std::string name, group;
};
void write_pvd(const std::string &path, const std::vector<PvdEntry> &entries);
} // namespace stifle::viz
