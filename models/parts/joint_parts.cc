// Reads joint_parts.yaml once per file, scales it and turns the landmarks on the plateau.
#include "models/parts/joint_parts.h"
#include "models/core/files.h"
#include "models/core/yaml_node.h"
#include <map>
#include <mutex>
#include <set>

namespace stifle
{
namespace
{
constexpr double reference_length_mm = 200, reference_plateau_deg = 25;
const std::vector<std::string> sides = {"medial", "lateral"};
const std::vector<std::string> groups = {"cruciate_cranial", "cruciate_caudal", "collateral_medial", "collateral_lateral", "capsule"};

struct PartsFile
{
  JointParts parts;
  std::vector<AssumptionRow> sources;
};

struct Field
{
  std::string key;
  double *value;
  Range range;
};

class PartsReader
{
public:
  explicit PartsReader(const std::string &file) : reader_(file, "joint.landmarks") {}

  PartsFile read()
  {
    const std::vector<std::string> keys = {"reference", "condyles", "plateaus", "menisci", "bundles", "muscles", "patella"};
    const YamlNode &root = reader_.root();
    bool whole = reader_.check_mapping(root, "", keys, keys);
    for (const std::string &key : keys)
      whole = whole && root.find(key);
    if (whole)
    {
      read_reference(*root.find("reference"));
      for (int side : {medial, lateral})
        read_side(root, side);
      read_bundles(*root.find("bundles"));
      read_muscles(*root.find("muscles"));
      fields(*root.find("patella"), "patella", {{"length_mm", &file_.parts.patella_length_mm, {2, 60, "mm"}}, {"contact_area_mm2", &file_.parts.patella_contact_area_mm2, {1, 1000, "mm2"}}});
    }
    reader_.finish();
    return file_;
  }

private:
  JointParts &parts() { return file_.parts; }

  /// A mapping of numbers with label and source; more keys may be read by the caller.
  bool fields(const YamlNode &node, const std::string &path, const std::vector<Field> &list,
              const std::vector<std::string> &more = {})
  {
    std::vector<std::string> keys = {"label", "source"};
    for (const Field &f : list)
      keys.push_back(f.key);
    keys.insert(keys.end(), more.begin(), more.end());
    if (!reader_.check_mapping(node, path, keys, keys))
      return false;
    for (const Field &f : list)
      if (const YamlNode *n = node.find(f.key))
        if (const auto value = reader_.number(*n, path + "." + f.key, f.range))
          *f.value = *value;
    read_source(node, path);
    return true;
  }

  void read_source(const YamlNode &node, const std::string &path)
  {
    const YamlNode *label = node.find("label"), *source = node.find("source");
    if (!label || !source)
      return;
    const auto word = reader_.word(*label, path + ".label", label_words());
    const auto text = reader_.word(*source, path + ".source");
    if (word && text)
      file_.sources.push_back({"joint_parts." + path, *word, *text});
  }

  void point(const YamlNode &node, const std::string &key, const std::string &path, Vector3 &value)
  {
    const YamlNode *list = node.find(key);
    if (!list || !reader_.check_list(*list, path + "." + key, 3, 3))
      return;
    for (int i = 0; i < 3; ++i)
      if (const auto number = reader_.number(list->items[i], path + "." + key, Range{-150, 150, "mm"}))
        value(i) = *number;
  }

  void truth(const YamlNode &node, const std::string &key, const std::string &path, bool &value)
  {
    if (const YamlNode *n = node.find(key))
      value = reader_.yes_or_no(*n, path + "." + key).value_or(false);
  }

  void read_reference(const YamlNode &node)
  {
    double stifle_deg = 140;
    fields(node, "reference", {{"stifle_angle_deg", &stifle_deg, {100, 170, "deg"}},
                               {"indentation_mm", &parts().reference_indentation_mm, {0, 1, "mm"}}});
    parts().reference_stifle_rad = radians(stifle_deg);
  }

  void read_side(const YamlNode &root, int side)
  {
    const auto part = [&](const std::string &group) -> const YamlNode *
    {
      const YamlNode &node = *root.find(group);
      const bool whole = checked_.count(group) || reader_.check_mapping(node, group, sides, sides);
      checked_.insert(group);
      return whole ? node.find(sides[side]) : nullptr;
    };
    const std::string dot = "." + sides[side];
    if (const YamlNode *node = part("condyles"))
    {
      Condyle &c = parts().condyles[side];
      fields(*node, "condyles" + dot, {{"offset_mm", &c.centre.y(), {-40, 40, "mm"}},
                                       {"sagittal_radius_mm", &c.sagittal_radius_mm, {3, 60, "mm"}},
                                       {"coronal_radius_mm", &c.coronal_radius_mm, {0, 40, "mm"}}});
      if (const YamlNode *radius = node->find("coronal_radius_mm"))
        if (c.coronal_radius_mm >= c.sagittal_radius_mm)
          reader_.problem(*radius, "condyles" + dot + ".coronal_radius_mm must be below the sagittal radius", radius->excerpt(),
                          "0 for a cylinder, or below sagittal_radius_mm");
    }
    if (const YamlNode *node = part("plateaus"))
    {
      PlateauSide &p = parts().plateaus[side];
      fields(*node, "plateaus" + dot, {{"offset_mm", &p.offset_mm, {-40, 40, "mm"}},
                                       {"sagittal_radius_mm", &p.sagittal_radius_mm, {5, 1000, "mm"}},
                                       {"coronal_curvature_per_mm", &p.coronal_curvature_per_mm, {-0.1, 0.2, "1/mm"}},
                                       {"half_length_mm", &p.half_length_mm, {3, 40, "mm"}},
                                       {"half_width_mm", &p.half_width_mm, {2, 20, "mm"}}});
    }
    if (const YamlNode *node = part("menisci"))
      read_meniscus(*node, "menisci" + dot, parts().menisci[side]);
  }

  void read_meniscus(const YamlNode &node, const std::string &path, Meniscus &m)
  {
    fields(node, path, {{"centre_s_mm", &m.centre_s_mm, {-20, 20, "mm"}},
                        {"centre_y_mm", &m.centre_y_mm, {-40, 40, "mm"}},
                        {"radius_s_mm", &m.radius_s_mm, {2, 30, "mm"}},
                        {"radius_y_mm", &m.radius_y_mm, {2, 30, "mm"}},
                        {"opening_deg", &m.opening_deg, {10, 240, "deg"}},
                        {"width_mm", &m.width_mm, {0.5, 15, "mm"}},
                        {"thickness_mm", &m.thickness_mm, {0.5, 15, "mm"}},
                        {"axial_modulus_mpa", &m.axial_modulus_mpa, {0.05, 200, "MPa"}},
                        {"hoop_modulus_mpa", &m.hoop_modulus_mpa, {1, 1000, "MPa"}},
                        {"section_mm2", &m.section_mm2, {0.5, 100, "mm2"}},
                        {"free_slide_mm", &m.free_slide_mm, {0, 15, "mm"}},
                        {"horn_stiffness_n_per_mm", &m.horn_stiffness_n_per_mm, {0.1, 2000, "N/mm"}}});
  }

  void read_bundles(const YamlNode &node)
  {
    if (node.kind != YamlNode::Kind::mapping || node.items.empty() || node.items.size() > 60)
    {
      reader_.problem(node, "bundles must be a mapping of 1 to 60 bundles", node.excerpt());
      return;
    }
    std::set<std::string> names;
    for (std::size_t i = 0; i < node.items.size(); ++i)
    {
      Bundle b;
      b.name = node.keys[i].text;
      if (!names.insert(b.name).second || b.name.empty() || b.name.size() > 40)
        reader_.problem(node.keys[i], "bundle names must differ and have 1 to 40 characters", node.keys[i].excerpt());
      read_bundle(node.items[i], "bundles." + b.name, b);
    }
  }

  void read_bundle(const YamlNode &node, const std::string &path, Bundle &b)
  {
    if (!fields(node, path, {{"stiffness_n_per_mm", &b.stiffness_n_per_mm, {0.01, 5000, "N/mm"}},
                             {"reference_strain", &b.reference_strain, {-0.6, 0.1, ""}},
                             {"toe_strain", &b.toe_strain, {0.001, 0.3, ""}}},
                {"group", "tibia", "femur", "on_plateau", "on_fibula"}))
      return;
    if (const YamlNode *group = node.find("group"))
      b.group = reader_.word(*group, path + ".group", groups).value_or("");
    point(node, "tibia", path, b.tibia);
    point(node, "femur", path, b.femur);
    truth(node, "on_plateau", path, b.on_plateau);
    truth(node, "on_fibula", path, b.on_fibula);
    parts().bundles.push_back(b);
  }

  void read_muscles(const YamlNode &node)
  {
    const std::vector<std::string> keys = {"fabella_medial", "fabella_lateral", "popliteus"};
    if (!reader_.check_mapping(node, "muscles", keys, keys))
      return;
    const auto read = [&](const std::string &key, Vector3 &femur, Vector3 *tibia)
    {
      const YamlNode *n = node.find(key);
      const std::vector<std::string> ends = tibia ? std::vector<std::string>{"femur", "tibia"} : std::vector<std::string>{"femur"};
      if (!n || !fields(*n, "muscles." + key, {}, ends))
        return;
      point(*n, "femur", "muscles." + key, femur);
      if (tibia)
        point(*n, "tibia", "muscles." + key, *tibia);
    };
    read("fabella_medial", parts().fabella[medial], nullptr);
    read("fabella_lateral", parts().fabella[lateral], nullptr);
    read("popliteus", parts().popliteus_femur, &parts().popliteus_tibia);
  }

  YamlReader reader_;
  PartsFile file_;
  std::set<std::string> checked_;
};

/// Parsed once per file: a study asks for the parts of thousands of dogs.
const PartsFile &parts_file(const Scenario &scenario)
{
  static std::mutex mutex;
  static std::map<std::string, PartsFile> files;
  const std::string file = scenario.joint.landmarks.value_or(data_file("models/parts/joint_parts.yaml"));
  const std::lock_guard<std::mutex> lock(mutex);
  auto at = files.find(file);
  if (at == files.end())
    at = files.emplace(file, PartsReader(file).read()).first;
  return at->second;
}

void scale_parts(JointParts &p, double scale)
{
  for (int side : {medial, lateral})
  {
    Condyle &c = p.condyles[side];
    PlateauSide &f = p.plateaus[side];
    Meniscus &m = p.menisci[side];
    c.centre *= scale;
    for (double *length : {&c.sagittal_radius_mm, &c.coronal_radius_mm, &f.offset_mm, &f.sagittal_radius_mm, &f.half_length_mm,
                           &f.half_width_mm, &m.centre_s_mm, &m.centre_y_mm, &m.radius_s_mm, &m.radius_y_mm, &m.width_mm,
                           &m.thickness_mm, &m.free_slide_mm, &m.horn_stiffness_n_per_mm})
      *length *= scale;
    f.coronal_curvature_per_mm /= scale;
    m.section_mm2 *= scale * scale;
    p.fabella[side] *= scale;
  }
  for (Bundle &b : p.bundles)
  {
    b.tibia *= scale;
    b.femur *= scale;
    b.stiffness_n_per_mm *= scale; // modulus * area / length grows with size
  }
  p.popliteus_femur *= scale;
  p.popliteus_tibia *= scale;
  p.patella_length_mm *= scale;
  p.patella_contact_area_mm2 *= scale * scale;
  p.reference_indentation_mm *= scale;
}
} // namespace

JointParts make_joint_parts(const Scenario &scenario)
{
  JointParts p = parts_file(scenario).parts;
  scale_parts(p, scenario.tibia.length_mm / reference_length_mm);
  const Matrix3 turn = rotation_about_y(radians(scenario.tibia.plateau_angle_deg - reference_plateau_deg));
  for (Bundle &b : p.bundles)
    if (b.on_plateau)
      b.tibia = turn * b.tibia;
  p.menisci[medial].removed = scenario.joint.meniscus_medial == "removed";
  p.menisci[medial].caudal_pole_removed = scenario.joint.meniscus_medial == "caudal_pole_removed";
  p.menisci[lateral].removed = scenario.joint.meniscus_lateral == "removed";
  p.fibula_proximal = scenario.levelling.fibular_head == "proximal";
  return p;
}

std::vector<AssumptionRow> joint_part_sources(const Scenario &scenario) { return parts_file(scenario).sources; }
} // namespace stifle
