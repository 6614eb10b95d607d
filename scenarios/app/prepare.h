// scenarios/app/prepare.h - checks that need more than the scenario file: activity names and geometry; InputError, nothing computed
#pragma once
#include "models/core/scenario.h"
#include "models/limb/activities.h"

namespace stifle::app
{
/// The activities the scenario names, from its own table or the shipped one, in the order of the scenario.
std::vector<Activity> chosen_activities(const Scenario &scenario, const std::string &file);
/// The user's surfaces; wedge, suture and advancement; arc, rotation, plate and screws for every levelling target. Nothing is
/// meshed (under a second a target). Returns lines that a user is to confirm: what was found in files of their own.
std::vector<std::string> check_geometry(const Scenario &scenario, const std::string &file);
} // namespace stifle::app
