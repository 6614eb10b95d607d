// models/core/scenario.cc - the one declaration of every key: value, check, source of the default, manual sentence
//   sources point at the paper or say that there is none; ranges are what the program accepts, not what is normal
#include "models/core/scenario.h"
#include "models/core/scenario_repairs.h"
#include "models/parts/material.h"
#include "models/parts/screw_size.h"

namespace stifle
{
namespace
{
const Source joint_assumption{Label::assumption, "no measurement found; vary it to see what it does"};

/// Plates and screws are metal: the rows of bone are left out.
std::vector<std::string> metal_names()
{
  std::vector<std::string> metals;
  for (const std::string &name : material_names())
    if (name.size() < 5 || name.compare(name.size() - 5, 5, "_bone") != 0)
      metals.push_back(name);
  return metals;
}

void visit_dog(ParameterVisitor &v, DogParameters &p)
{
  v.value("name", &p.name, AnyText{}, naming, "Name used in titles, without effect on any number.");
  v.value("mass_kg", &p.mass_kg, Range{2, 100, "kg"},
          {Label::assumption, "the 30 kg dog whose stance loads are worked out in the literature sheet, section 6"},
          "Body mass, kg; ground forces and segment masses scale with it.");
  v.value("limb", &p.limb, OneOf{{"right", "left"}}, naming,
          "Hind limb, without unit; tables are anatomical and equal for both, fields and pictures are mirrored.");
}

void visit_tibia(ParameterVisitor &v, TibiaParameters &p)
{
  const Source scaled{Label::assumption, "null in the scenario: 200 (dog.mass_kg / 30)^(1/3) mm, geometric scaling", true};
  v.value("length_mm", &p.length_mm, Range{60, 320, "mm", "", true},
          p.length_from_mass ? scaled : Source{Label::memory, "195 to 205 mm at 30 kg, Labrador size"},
          "Intercondylar point to hock centre, mm; all landmarks scale with it (null: scaled from dog.mass_kg).");
  v.value("plateau_angle_deg", &p.plateau_angle_deg, Range{0, 50, "deg"},
          {Label::abstract, "25 +- 3 deg, healthy Labradors, n = 30, VCOT 2013;26:266"},
          "Fall of the medial plateau towards caudal before surgery, deg, against the perpendicular of the functional axis.");
  v.value("tuberosity_width_mm", &p.tuberosity_width_mm, Range{3, 25, "mm"},
          {Label::abstract, "10.8 +- 2.7 mm in unfractured tuberosities, Vet Surg 2008, 10.1111/j.1532-950X.2008.00391.x"},
          "Bone left between tendon insertion and cut, mm; the arc centre moves until it is met (null: it is measured).");
  const Source scaled_point{Label::assumption, "null: (31, -14) mm on a 200 mm tibia, scaled with it (models/parts/anatomy_sources.cc)"};
  v.value("tuberosity_cranial_mm", &p.tuberosity_cranial_mm, Range{5, 80, "mm"}, scaled_point,
          "Insertion of the patellar tendon cranial of the functional axis, mm; null: 31 mm scaled with the tibia.");
  v.value("tuberosity_proximal_mm", &p.tuberosity_proximal_mm, Range{-80, -1, "mm"}, scaled_point,
          "Insertion of the patellar tendon proximal of the intercondylar point, mm; null: -14 mm scaled with the tibia.");
  v.value("surface", &p.surface, ExistingFile{}, naming,
          "STL file of a user's tibia, right limb, mm: a whole closed bone replaces the parametric one in the construct; with "
          "joint.femur_surface it (or a piece of it) also carries the contact of the 3-D joint.");
  v.value("inner_surface", &p.inner_surface, ExistingFile{}, naming,
          "STL file of the inside of the cortex, closed, in the frame of tibia.surface, mm; null: tibia.cortex_mm inside it.");
  v.value("surface_landmarks_mm", &p.surface_landmarks_mm, RangeList{-2000, 2000, "mm", 0, 9, false}, naming,
          "Frame of the STL files, mm: x, y, z of the intercondylar point, the hock centre and the insertion of the patellar tendon; "
          "empty: they are in the tibia frame.");
  v.value("cortex_mm", &p.cortex_mm, Range{0.5, 6, "mm"}, {Label::assumption, "no canine cortex map found; uniform shell"},
          "Thickness of the cortical shell, mm.");
  v.value("cortex_law", &p.cortex_law, OneOf{{"isotropic", "orthotropic"}},
          {Label::common_practice, "bone-plate models take cortex isotropic; orthotropic: canine femur, ultrasound (S55, memory)"},
          "Elastic law of cortical bone, no unit: isotropic, or orthotropic with its axes along and around the shaft.");
  v.value("cancellous_law", &p.cancellous_law, OneOf{{"uniform", "depth"}},
          {Label::assumption, "uniform: the mean of both levels; depth: 692 to 417 MPa between the levels (S56, abstract)"},
          "Young's modulus of cancellous bone, no unit: uniform, or falling with the depth under the plateau.");
  v.value("cancellous_levels_mm", &p.cancellous_levels_mm, RangeList{0, 100, "mm", 2, 2},
          {Label::assumption, "three sections were indented, their depths are not in the abstract: faces at 2 and 12 mm, felt one punch radius (2.5 mm) deeper"},
          "Depths of the top and of the third level under the plateau, mm, the second larger; straight between, constant outside; "
          "only for tibia.cancellous_law: depth.");
  v.value("hock_offset_cranial_mm", &p.hock_offset_cranial_mm, Range{-20, 20, "mm"}, joint_assumption,
          "Hock centre off the functional axis towards cranial, mm.");
  v.value("hock_offset_medial_mm", &p.hock_offset_medial_mm, Range{-20, 20, "mm"}, joint_assumption,
          "Hock centre off the functional axis towards medial, mm.");
}

void visit_joint(ParameterVisitor &v, JointParameters &p)
{
  v.value("dimension", &p.dimension, Range{2, 3, ""}, naming,
          "Dimension of the joint model, no unit: 3 is the whole joint, 2 the sagittal teaching model.");
  v.value("ligament", &p.ligament, OneOf{{"intact", "torn"}}, naming, "State of the cranial cruciate ligament, no unit.");
  v.value("contact_medial_share", &p.contact_medial_share, Range{0, 1, ""}, joint_assumption,
          "Part of the contact force on the medial condyle, pure number; two-dimensional joint only.");
  v.value("tendon_offset_medial_mm", &p.tendon_offset_medial_mm, Range{-10, 10, "mm"}, joint_assumption,
          "Patellar tendon off the mid-plane towards medial, mm.");
  v.value("layer_modulus_mpa", &p.layer_modulus_mpa, Range{0.5, 100, "MPa"},
          {Label::memory, "cartilage under quick loading 5 to 10 MPa"}, "Modulus of the bonded contact layer, MPa.");
  v.value("layer_thickness_mm", &p.layer_thickness_mm, Range{0.2, 6, "mm"},
          {Label::second_hand, "cartilage of the stifle 0.6 to 1.3 mm; both surfaces together"},
          "Thickness of both cartilage layers together, mm.");
  v.value("secondary_slack_mm", &p.secondary_slack_mm, Range{0, 20, "mm"}, joint_assumption,
          "Cranial travel before collaterals, capsule and meniscal rim resist, mm; two-dimensional joint only.");
  v.value("secondary_stiffness_n_per_mm", &p.secondary_stiffness_n_per_mm, Range{1, 500, "N/mm"}, joint_assumption,
          "Stiffness of collaterals, capsule and meniscal rim along the plateau, N/mm; two-dimensional joint only.");
  v.value("tendon_length_mm", &p.tendon_length_mm, Range{8, 120, "mm"},
          {Label::memory, "null: 40 mm (35 to 45 at 30 kg), scaled with the tibia"},
          "Patellar tendon between patella and tuberosity, mm; null: 40 mm scaled with the tibia.");
  v.value("tendon_angle_deg", &p.tendon_angle_deg, Range{60, 140, "deg"},
          {Label::assumption, "null: groove and insertion are not placed to fit a tendon angle"},
          "Patellar tendon against the plateau, deg, as measured at joint.tendon_angle_stifle_deg in the unloaded joint; sets how far "
          "the patella lies from the axis of its groove. Null: what the landmarks give.");
  v.value("tendon_angle_stifle_deg", &p.tendon_angle_stifle_deg, Range{60, 170, "deg"},
          {Label::common_practice, "tendon angles are compared at a stifle angle of 135 deg"},
          "Stifle angle in which joint.tendon_angle_deg was measured, deg; 180 is straight; without it of no effect.");
  v.value("landmarks", &p.landmarks, ExistingFile{}, naming,
          "YAML file that replaces models/parts/joint_parts.yaml, no unit; relative to this file.");
  v.value("meniscus_medial", &p.meniscus_medial, OneOf{{"intact", "caudal_pole_removed", "removed"}}, naming,
          "State of the medial meniscus, no unit; three-dimensional joint only.");
  v.value("meniscus_lateral", &p.meniscus_lateral, OneOf{{"intact", "removed"}}, naming,
          "State of the lateral meniscus, no unit; three-dimensional joint only.");
  v.value("femur_surface", &p.femur_surface, ExistingFile{}, naming,
          "STL file of a user's femur, right limb, femur frame, mm; for the 3-D joint only, together with tibia.surface.");
}

void visit_loads(ParameterVisitor &v, LoadParameters &p)
{
  v.value("set", &p.set, OneOf{{"stance", "press", "axial", "tendon"}}, naming,
          "Load sets, no unit: stance is the balance of the whole limb, the others imitate test benches.");
  v.value("axial_force_n", &p.axial_force_n, Range{1, 5000, "N"},
          {Label::assumption, "near two thirds of the body weight of a 30 kg dog; thrust is linear in it in the set axial"},
          "Size of the force in the sets press, axial and tendon, N.");
  v.value("stifle_angle_deg", &p.stifle_angle_deg, Range{60, 165, "deg"},
          {Label::abstract, "cadaver work holds 135 deg; mean standing angle 145 deg, Vet Sci 2022;9:644"},
          "Angle of the stifle held in the sets press, axial and tendon, deg; 180 is straight.");
}

void visit_limb(ParameterVisitor &v, LimbParameters &p)
{
  v.value("activity_table", &p.activity_table, ExistingFile{}, naming,
          "YAML file that replaces models/limb/activities.yaml, no unit; relative to this file.");
  v.value("gastrocnemius_share", &p.gastrocnemius_share, Range{0, 1, ""},
          {Label::assumption, "0.67 in the stance sheet of the literature; the rest starts on the tibia"},
          "Part of the calcanean force that crosses the stifle, pure number.");
  v.value("hamstrings_n", &p.hamstrings_n, Range{0, 1000, "N"},
          {Label::assumption, "the stance sheet has no hamstrings"}, "Hamstring force, N.");
  v.value("popliteus_n", &p.popliteus_n, Range{0, 500, "N"},
          {Label::assumption, "the stance sheet has no popliteus"}, "Popliteus force, N; joint.dimension 3 only.");
  v.value("muscle_stress_mpa", &p.muscle_stress_mpa, Range{0.1, 1, "MPa"},
          {Label::memory, "0.25 to 0.30 N/mm2 of physiological cross-section; upper end, so that a flag is certain"},
          "Largest stress of a muscle, MPa; with limb.quadriceps_area_mm2 the force above which a state is flagged.");
  v.value("quadriceps_area_mm2", &p.quadriceps_area_mm2, Range{100, 20000, "mm2"},
          {Label::derived, "at least 1700 to 2000 mm2 for the 512 N of a trot; upper end; scaled with mass^(2/3), an assumption: "
                           "mass predicts muscle areas poorly (10.1111/ahe.12666)"},
          "Physiological cross-section of the quadriceps of a 30 kg dog, mm2.");
}

void visit_repair(ParameterVisitor &v, RepairParameters &p)
{
  v.value("kind", &p.kind, OneOf{{"none", "levelling", "wedge", "suture", "advancement"}}, naming,
          "Repair, no unit; none is the unoperated joint.");
}

void visit_levelling(ParameterVisitor &v, LevellingParameters &p)
{
  v.value("plateau_angles_deg", &p.plateau_angles_deg, RangeList{-10, 50, "deg", 1, 20},
          {Label::common_practice, "6 deg is near the usual target; 0, 10 and 15 bracket it"},
          "Target plateau angles after levelling, deg; none may exceed tibia.plateau_angle_deg.");
  v.value("saw_radius_mm", &p.saw_radius_mm, Range{8, 40, "mm"},
          {Label::memory, "blades of 12 to 30 mm in steps of 3; 24 and 27 common at 25 to 40 kg"},
          "Radius of the arc cut, mm.");
  v.value("fibular_head", &p.fibular_head, OneOf{{"proximal", "distal"}},
          {Label::assumption, "bound to the lateral tibial condyle; no measurement found"},
          "Segment that the fibular head (lateral collateral) follows, no unit.");
  v.value("centre_offset_mm", &p.centre_offset_mm, Range{-40, 40, "mm"}, naming,
          "Arc centre cranial of the intercondylar point, mm; null while tibia.tuberosity_width_mm places the arc.");
  v.value("centre_height_mm", &p.centre_height_mm, Range{-20, 20, "mm"},
          {Label::common_practice, "the arc is centred at the height of the intercondylar point"},
          "Arc centre proximal of the intercondylar point, mm.");
}

void visit_passive(ParameterVisitor &v, PassiveParameters &p)
{
  const Source hands{Label::assumption, "no measurement of the hands of an examiner found; vary it to see what it does"};
  v.value("flexion_deg", &p.flexion_deg, RangeList{0, 120, "deg", 1, 30},
          {Label::common_practice, "the drawer series of the literature is given at 0, 20, 40 and 60 deg"},
          "Flexion of the stifle in the hand tests, deg; 0 is straight.");
  v.value("hand_force_n", &p.hand_force_n, Range{1, 500, "N"}, hands,
          "Drawer: force of the hand on the tibia along the plateau, cranial and caudal in turn, N.");
  v.value("hand_moment_nmm", &p.hand_moment_nmm, Range{10, 20000, "N mm"}, hands,
          "Rotation: moment of the hand on the tibia about its axis, internal and external in turn, N mm.");
  v.value("gastrocnemius_n", &p.gastrocnemius_n, Range{1, 1000, "N"}, hands,
          "Tibial compression: force of the gastrocnemius across the stifle while a hand flexes the hock, N.");
  v.value("hock_angle_deg", &p.hock_angle_deg, Range{40, 150, "deg"}, hands,
          "Tibial compression: angle of the hock as the hand flexes it, deg; 180 is straight.");
  v.value("compression_n", &p.compression_n, Range{1, 500, "N"}, hands,
          "Force that holds tibia and femur together, square to the plateau, in every hand test but tibial compression, N.");
}

void visit_radiograph(ParameterVisitor &v, RadiographParameters &p)
{
  v.value("landmarks", &p.landmarks, ExistingFile{}, naming,
          "YAML file with points of a lateral film, no unit; sets plateau angle, tibia length, the tendon and, with the saw, the arc.");
}

void visit_plate(ParameterVisitor &v, PlateParameters &p)
{
  v.value("width_mm", &p.width_mm, Range{4, 20, "mm"}, {Label::memory, "3.5 locking plate, 11.0 mm, +- 10 %"},
          "Width of the shaft of the plate, mm.");
  v.value("thickness_mm", &p.thickness_mm, Range{1, 8, "mm"}, {Label::memory, "3.5 locking plate, 3.3 to 3.4 mm, +- 10 %"},
          "Thickness of the plate, mm.");
  v.value("material", &p.material, OneOf{metal_names()}, {Label::memory, "cold-worked 316L is usual for plates"},
          "Row of models/parts/materials.yaml, no unit.");
  v.value("file", &p.file, ExistingFile{}, naming,
          "STEP file of a user's plate for a right limb, one solid, no unit; its holes replace screws.proximal_* and distal_*, the keys "
          "of the shape have no effect; `stifle check` lists what was found.");
  v.value("landmarks_plate_mm", &p.landmarks_plate_mm, RangeList{-2000, 2000, "mm", 0, 9, false}, naming,
          "Three points in the frame of plate.file, mm: x, y, z of the first, the second and the third.");
  v.value("landmarks_bone_mm", &p.landmarks_bone_mm, RangeList{-400, 400, "mm", 0, 9, false}, naming,
          "Where those points lie on the bone, tibia frame (x cranial, y medial, z proximal), levelled pose, mm; fitted rigidly.");
  v.value("seating", &p.seating, OneOf{{"stand_off", "landmarks"}}, naming,
          "Place of the plate of plate.file, no unit: stand_off moves it along y until it is plate.stand_off_mm off the bone, landmarks "
          "leaves it as they put it.");
  v.value("head_width_mm", &p.head_width_mm, Range{6, 50, "mm"}, {Label::assumption, "room for three screws of 3.5 mm"},
          "Width of the proximal head of the plate, mm.");
  v.value("stand_off_mm", &p.stand_off_mm, Range{0.2, 6, "mm"},
          {Label::assumption, "locking plates stand off the bone; bench 1 mm"}, "Distance between plate and bone, mm.");
  v.value("craniocaudal_mm", &p.craniocaudal_mm, Range{-20, 20, "mm"}, {Label::assumption, "plate over the middle of the shaft"},
          "Place of the centre line of the plate shaft, mm cranial of the functional axis.");
  v.value("widths_mm", &p.widths_mm, RangeList{4, 60, "mm", 0, 40, false}, naming,
          "Widths of the plate at even distances from its proximal to its distal end, mm, straight between them; empty: head and "
          "shaft by the other keys.");
  v.value("length_mm", &p.length_mm, Range{20, 250, "mm"}, {Label::assumption, "null: 4.5 mm beyond the highest hole, 6 mm beyond the lowest"},
          "Length of the plate from its proximal end, mm; null: from the outermost holes.");
  v.value("inclination_deg", &p.inclination_deg, Range{-30, 30, "deg"},
          {Label::common_practice, "along the shaft; a thesis compares 0 and 20 deg, S15 of the construct sheet"},
          "Turn of the plate with all its holes about a mediolateral axis at the mean height of the holes, deg; above 0 the distal "
          "end goes caudal.");
  v.value("bone_contact", &p.bone_contact, OneOf{{"none", "friction"}},
          {Label::common_practice, "locking plates stand off; plain plates press on the bone"},
          "Plate on bone, no unit: none stands off by stand_off_mm; friction shapes the underside to the bone, which presses and rubs.");
  v.value("friction", &p.friction, Range{0, 1, ""},
          {Label::memory, "smooth metal on bone in finite-element studies 0.3 to 0.4, S64 of the construct sheet"},
          "Coulomb friction between plate and bone, pure number; used with plate.bone_contact: friction.");
  v.value("contact_depth_mm", &p.contact_depth_mm, Range{0.05, 1, "mm"},
          {Label::assumption, "contouring leaves a strip along the crest of the bone; no measured area was found"},
          "How deep the underside of the plate is shaped to the bone, mm; sets the width of the contact; used with bone_contact.");
}

void visit_screws(ParameterVisitor &v, ScrewParameters &p)
{
  const Source layout{Label::assumption,
                      "three screws each side as in 6-hole plates (split from memory); places fit a 200 mm tibia"};
  v.value("core_mm", &p.core_mm, Range{0.8, 6, "mm"}, {Label::memory, "3.5 locking screw, core 2.9 mm; weak"},
          "Core diameter of the screws, mm; smaller than screws.major_mm.");
  v.value("major_mm", &p.major_mm, Range{1, 7, "mm"}, {Label::memory, "3.5 locking screw"},
          "Outer diameter of the thread, mm.");
  v.value("material", &p.material, OneOf{metal_names()}, {Label::memory, "cold-worked 316L is usual for screws"},
          "Row of models/parts/materials.yaml, no unit.");
  v.value("proximal_x_mm", &p.proximal_x_mm, RangeList{-40, 40, "mm", 1, 8, false}, layout,
          "Craniocaudal places of the proximal holes in the levelled pose, mm, x cranial.");
  v.value("proximal_z_mm", &p.proximal_z_mm, RangeList{-80, 0, "mm", 1, 8, false}, layout,
          "Heights of the proximal holes in the levelled pose, mm, z proximal.");
  v.value("distal_z_mm", &p.distal_z_mm, RangeList{-250, 0, "mm", 1, 8, true}, layout,
          "Heights of the distal holes, mm, z proximal.");
  v.value("distal_x_mm", &p.distal_x_mm, RangeList{-40, 40, "mm", 0, 8, false}, layout,
          "Craniocaudal places of the distal holes, mm, x cranial; empty: plate.craniocaudal_mm.");
  std::vector<std::string> sizes = screw_size_names();
  sizes.insert(sizes.begin(), "own");
  const Source choice{Label::common_practice, "one word for all holes, or one per hole: proximal holes first, then distal"};
  v.value("holes", &p.holes, OneOf{{"locking", "plain", "none"}, false}, choice,
          "What each hole holds, no unit: a locking screw, a plain screw, or none; one word for all, or one per hole.");
  v.value("sizes", &p.sizes, OneOf{sizes, false}, choice,
          "Size of the screw of each hole, no unit: own takes screws.core_mm and major_mm, the others models/parts/screws.yaml.");
  v.value("cortices", &p.cortices, OneOf{{"both", "one"}, false}, choice,
          "Cortices that each screw passes, no unit; one ends half way to the far cortex (assumption).");
  v.value("lengths_mm", &p.lengths_mm, RangeList{4, 120, "mm", 0, 16, false},
          {Label::common_practice, "empty: 1 mm beyond the far cortex"},
          "Length of each screw from the outer face of the plate to its tip, mm; one for all, or one per hole; empty: by screws.cortices.");
  v.value("preload_n", &p.preload_n, RangeList{0, 3000, "N", 1, 16, false},
          {Label::assumption, "no measured pull of a tightened screw in dogs was found; 0 is a head that only rests on its seat"},
          "Pull in each plain screw after tightening, N; one for all plain screws, or one per hole (0 for the others).");
  v.value("compression_n", &p.compression_n, RangeList{0, 1500, "N", 1, 16, false},
          {Label::abstract, "residual compression of one load screw 131, of two 296 N together, S28 of the construct sheet; 0: neutral"},
          "Force of each load screw (plain) that draws its segment along the plate to the cut, N; one for all plain screws, or one per "
          "hole.");
}

void visit_healing(ParameterVisitor &v, HealingParameters &p)
{
  v.value("weeks", &p.weeks, RangeList{0, 52, "weeks"}, {Label::common_practice, "0 is the day of surgery"},
          "Weeks after surgery, weeks; callus stiffens with them.");
  v.value("cut", &p.cut, OneOf{{"contact", "gap", "bonded"}}, naming,
          "State of the cut, no unit: contact is fresh with friction, gap stands open by gap_mm until it closes, bonded is healed.");
  v.value("friction", &p.friction, Range{0, 1, ""}, {Label::memory, "finite-element studies use 0.3 to 0.5 for bone on bone"},
          "Coulomb friction of the fresh cut, pure number.");
  v.value("gap_mm", &p.gap_mm, Range{0.1, 5, "mm"}, {Label::memory, "kerf 0.7 to 1.2 mm; gap models use 1.0 and 3.2 mm"},
          "Thickness of the callus in the cut, mm; with cut: gap also the distance of its faces.");
  v.value("diary", &p.diary, AnyText{},
          {Label::derived, "daily activity does not change after surgery, J Small Anim Pract 2023;64:619; counts: models/healing/diary.yaml"},
          "Loadings a day by activity and week, no unit: normal, restricted, or a table of healing.diary_table.");
  v.value("limb_use", &p.limb_use, AnyText{}, {Label::assumption, "the limb is loaded as before the injury; recovery is an assumption too"},
          "Share of the ground force of a sound limb by week, no unit: full, recovery, or a table of healing.diary_table.");
  v.value("load_path", &p.load_path, OneOf{{"instants", "each"}},
          {Label::assumption, "a stance loads the cut step by step; between stances the limb is unloaded and nothing is left of its slides"},
          "Friction of the cut, no unit: instants = each instant of a stance goes on from what the one before has slid; each = every "
          "instant from the unloaded limb.");
  v.value("diary_table", &p.diary_table, ExistingFile{}, naming,
          "YAML file of the shape of models/healing/diary.yaml with own diaries and limb uses (null: the one shipped).");
}

void visit_study(ParameterVisitor &v, StudyParameters &p)
{
  v.value("stance_percent", &p.stance_percent, RangeList{0, 100, "%"}, {Label::common_practice, "early, middle and late stance"},
          "Instants of stance, %.");
  v.value("sweep_plateau_deg", &p.sweep_plateau_deg, RangeList{-30, 60, "deg", 3, 3, false},
          {Label::common_practice, "wide enough for every neutral slope"},
          "Sweep of the plateau angle of the joint alone: first, last, step, deg.");
  v.value("samples", &p.samples, Range{0, 65536, ""},
          {Label::common_practice, "0 draws nothing; 256 or more for bands, 1024 or more for a rank of the inputs"},
          "Number of draws of the uncertain inputs, no unit; powers of 2 suit the design sobol.");
  v.value("margin_samples", &p.margin_samples, Range{0, 4096, ""},
          {Label::common_practice, "a draw solves ten states of each slope, half a second each; 5 % of 64 is the third least"},
          "Of study.samples, the number drawn for margins too, no unit; 0 leaves their low and high empty.");
  v.value("design", &p.design, OneOf{{"sobol", "latin_hypercube"}},
          {Label::common_practice, "Sobol points fill the space of the inputs most evenly"},
          "How the uncertain inputs are drawn, no unit.");
  v.value("seed", &p.seed, Range{0, 2147483647, ""}, naming, "Seed of the random draws, no unit.");
  v.value("vary", &p.vary, KeysWithValues{}, naming,
          "Keys with the values each takes, such as {dog.mass_kg: [20, 30]}, no unit; every combination is a variant of its own, the last "
          "key fastest. The scenario without them must be one that can be run.");
  v.value("dogs", &p.dogs, Range{0, 1000000, ""},
          {Label::common_practice, "0 draws none; drawn from the inputs of uncertain_inputs.csv, one more leaves the others as they are"},
          "Whole dogs drawn from the uncertain inputs, each a variant of its own, no unit; always Sobol points, with study.seed. Levelling "
          "reaches its target in each (no error of the surgeon), strengths and callus are held.");
  v.value("dog", &p.dog, Range{0, 1000000, ""}, naming,
          "Which of the drawn dogs is computed, no unit; 0 is the dog of the scenario, 1 the first drawn with study.seed.");
}

void visit_mesh(ParameterVisitor &v, MeshParameters &p)
{
  v.value("bone_size_mm", &p.bone_size_mm, Range{1, 12, "mm"}, {Label::assumption, "2 to 4 mm in bone is usual (memory)"},
          "Size of the elements in bone, mm.");
  v.value("detail_size_mm", &p.detail_size_mm, Range{0.2, 4, "mm"},
          {Label::assumption, "0.3 to 1 mm near holes is usual (memory)"},
          "Size at hole rims and screw entries, mm; at most mesh.bone_size_mm.");
}

void visit_output(ParameterVisitor &v, OutputParameters &p)
{
  v.value("fields", &p.fields, OneOf{{"none", "least_margin", "all"}}, naming,
          "Which states are written as VTU fields, no unit. least_margin: the state of least margin of each slope, and with "
          "several weeks also, in each week, the instant of the largest hock force (that of cut_map.csv); all: every state.");
  v.value("pictures", &p.pictures, Range{0, 1, ""}, naming, "Whether pictures are made, true or false.");
  v.value("collapse", &p.collapse, OneOf{{"none", "worst"}}, naming, "States loaded until they collapse, plastic metal, no unit.");
}
} // namespace

double scaled_tibia_length_mm(double mass_kg) { return 200 * std::cbrt(mass_kg / 30); }

void Scenario::visit(ParameterVisitor &v)
{
  v.section("dog", "The animal.", [this](ParameterVisitor &w) { visit_dog(w, dog); });
  v.section("tibia", "The bone before surgery.", [this](ParameterVisitor &w) { visit_tibia(w, tibia); });
  v.section("joint", "The stifle.", [this](ParameterVisitor &w) { visit_joint(w, joint); });
  v.section("loads", "What loads the joint.", [this](ParameterVisitor &w) { visit_loads(w, loads); });
  v.section("limb", "Posture and muscles.", [this](ParameterVisitor &w) { visit_limb(w, limb); });
  v.section("repair", "What the surgeon does.", [this](ParameterVisitor &w) { visit_repair(w, repair); });
  v.section("levelling", "The arc cut.", [this](ParameterVisitor &w) { visit_levelling(w, levelling); });
  v.section("wedge", "The closing wedge.", [this](ParameterVisitor &w) { visit_wedge(w, wedge); });
  v.section("suture", "The line outside the joint.", [this](ParameterVisitor &w) { visit_suture(w, suture); });
  v.section("advancement", "The tuberosity moved forwards.", [this](ParameterVisitor &w) { visit_advancement(w, advancement); });
  v.section("passive", "Tests by hand.", [this](ParameterVisitor &w) { visit_passive(w, passive); });
  v.section("radiograph", "Measures from a film.", [this](ParameterVisitor &w) { visit_radiograph(w, radiograph); });
  v.value("activities", &activities, AnyText{},
          {Label::common_practice, "three of the fourteen in models/limb/activities.yaml"},
          "Activities out of the activity table, no unit.");
  v.section("plate", "The plate.", [this](ParameterVisitor &w) { visit_plate(w, plate); });
  v.section("screws", "The screws.", [this](ParameterVisitor &w) { visit_screws(w, screws); });
  v.section("healing", "Time after surgery.", [this](ParameterVisitor &w) { visit_healing(w, healing); });
  v.section("rig", "A bench test in place of the limb.", [this](ParameterVisitor &w) { rig.visit(w); });
  v.section("study", "Which instants and slopes are computed.", [this](ParameterVisitor &w) { visit_study(w, study); });
  v.section("mesh", "Fineness of the elements.", [this](ParameterVisitor &w) { visit_mesh(w, mesh); });
  v.section("output", "What is written.", [this](ParameterVisitor &w) { visit_output(w, output); });
}
} // namespace stifle
