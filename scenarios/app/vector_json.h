// scenarios/app/vector_json.h - a Vector3 as a JSON list of three numbers
#pragma once
#include "models/core/units.h"
#include <nlohmann/json.hpp>

namespace nlohmann
{
template <> struct adl_serializer<stifle::Vector3>
{
  static void to_json(json &j, const stifle::Vector3 &v) { j = {v.x(), v.y(), v.z()}; }
  static void from_json(const json &j, stifle::Vector3 &v)
  {
    v = stifle::Vector3(j.at(0).get<double>(), j.at(1).get<double>(), j.at(2).get<double>());
  }
};
} // namespace nlohmann
