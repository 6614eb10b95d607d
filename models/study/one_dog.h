// models/study/one_dog.h - the drawn dog that study.dog names, as a scenario of its own
//   draw    point study.dog - 1 of the Sobol points of study.seed: the dog of that number in the bands of the same seed, when these are
//           drawn by sobol. The inputs are those of uncertain_input.h; strengths and callus are held
//   angles  tibia.plateau_angle_deg becomes the true angle of the dog (measured minus error of the observer); the targets of a
//           levelling are true angles too: the surgeon makes no error
#pragma once
#include "models/study/uncertain_input.h"

namespace stifle
{
struct DrawnValue
{
  std::string input, unit;
  double      value = 0;
};

struct OneDog
{
  Scenario                scenario; ///< with its variation
  std::vector<Activity>   activities;
  std::vector<DrawnValue> drawn; ///< empty for study.dog 0, whose scenario and activities are those given
};

OneDog one_dog(const Scenario &scenario, const std::vector<Activity> &activities);
} // namespace stifle
