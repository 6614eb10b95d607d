#include "models/core/check_user_files.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
class UserFiles
{
public:
  UserFiles(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed)
      : reader_(reader), s_(scenario), failed_(failed)
  {
  }
  void check()
  {
    triple("tibia", "surface_landmarks_mm", s_.tibia.surface_landmarks_mm);
    triple("plate", "landmarks_plate_mm", s_.plate.landmarks_plate_mm);
    triple("plate", "landmarks_bone_mm", s_.plate.landmarks_bone_mm);
    if (s_.joint.femur_surface)
      needs("joint.femur_surface", "tibia.surface", s_.tibia.surface.has_value(), *s_.joint.femur_surface,
            "both files, or null for both: contact takes two surfaces");
    if (s_.tibia.inner_surface)
      needs("tibia.inner_surface", "tibia.surface", s_.tibia.surface.has_value(), *s_.tibia.inner_surface,
            "both files, or null for both");
    if (!s_.tibia.surface_landmarks_mm.empty())
      needs("tibia.surface_landmarks_mm", "tibia.surface", s_.tibia.surface.has_value(), "landmarks", "an STL file, or no landmarks");
    for (const auto &[key, points] : {std::pair("plate.landmarks_plate_mm", &s_.plate.landmarks_plate_mm),
                                      std::pair("plate.landmarks_bone_mm", &s_.plate.landmarks_bone_mm)})
      if (s_.plate.file)
        needs("plate.file", key, !points->empty(), *s_.plate.file, "three landmarks in the file and the same three on the bone");
      else if (!points->empty())
        needs(key, "plate.file", false, "landmarks", "a STEP file, or no landmarks");
    stands_off();
  }

private:
  void stands_off()
  {
    if (!s_.plate.file || s_.plate.bone_contact == "none" || failed_.count("plate.file") + failed_.count("plate.bone_contact") > 0)
      return;
    reader_.problem("plate", reader_.place("plate", "bone_contact"),
                    "plate.bone_contact: the plate of plate.file stands off the bone in this version", s_.plate.bone_contact,
                    "none, or no plate.file");
  }
  void needs(const std::string &key, const std::string &other, bool there, const std::string &found, const std::string &allowed)
  {
    if (there || failed_.count(key) + failed_.count(other) > 0)
      return;
    const std::string section = key.substr(0, key.find('.'));
    reader_.problem(section, reader_.place(section, key.substr(section.size() + 1)), key + " needs " + other, found, allowed);
  }
  void triple(const std::string &section, const std::string &key, const std::vector<double> &numbers)
  {
    const std::string path = section + "." + key;
    if (failed_.count(path) > 0 || numbers.empty() || numbers.size() == 9)
      return;
    reader_.problem(section, reader_.place(section, key), path + " is not three points", fmt::format("{} numbers", numbers.size()),
                    "9 numbers: x, y, z of three points");
  }

  YamlReader &reader_;
  const Scenario &s_;
  const std::set<std::string> &failed_;
};
} // namespace

void check_user_files(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed)
{
  UserFiles(reader, scenario, failed).check();
}
} // namespace stifle
