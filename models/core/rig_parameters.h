// models/core/rig_parameters.h - a bench test in place of the limb: section `rig` of a scenario
#pragma once
#include "models/core/parameter.h"

namespace stifle
{
struct RigParameters
{
  std::string kind     = "none";                          ///< none | four_point_bending | torsion | axial | tendon_pull | pull_out
  std::string specimen = "usual";                         ///< usual | plate | tubes | tibia
  double      force_n  = 1000;                            ///< axial and four-point: total; tendon_pull, pull_out: the pull
  double      force_low_n = 50;                           ///< axial: stiffness between this and force_n
  double      moment_nmm  = 1000;                         ///< torsion
  double      offset_cranial_mm = 0;                      ///< axial: line of force off the functional axis
  double      offset_medial_mm  = 0;
  int         screw = 1;                                  ///< pull_out: number of the screw
  double      span_mm        = 20;                        ///< four-point: support to loading roller
  double      centre_span_mm = 24;                        ///< four-point: between the loading rollers
  std::vector<double> screws_mm     = {58.5, 45.5, 32.5, -32.5, -45.5, -58.5}; ///< straight plate, from its middle, proximal > 0
  std::vector<double> open_holes_mm = {19.5, 6.5, -6.5, -19.5};
  double      gap_mm           = 47;                      ///< between the tubes
  double      tube_outer_mm    = 16;
  double      tube_inner_mm    = 9;
  double      tube_modulus_mpa = 16000;
  bool        collapse  = false;                          ///< push beyond first yield
  double      largest_factor = 4;                         ///< of the load: where a push ends at the latest

  bool        on() const { return kind != "none"; }
  std::string used_specimen() const;                      ///< plate | tubes | tibia, with "usual" resolved
  /// The declaration of its keys.
  void visit(ParameterVisitor &visitor);
};
} // namespace stifle
