// models/study/margin_inputs.h - what is drawn for the bands of margins: loads, friction, callus and strengths on a fixed mesh
//   loads     the inputs of the joint's bands (uncertain_input.h) that leave the tibia as it is meshed: all but the plateau angle,
//             its observer, the tendon's insertion and the suture
//   cut       friction 0.3 to 0.5 about 0.4 (memory); shift of the callus law, from the bracket of week 4
//   strengths strength_draw.h
#pragma once
#include "models/study/uncertain_input.h"

namespace stifle
{
std::vector<UncertainInput> margin_inputs(const Scenario &scenario);
} // namespace stifle
