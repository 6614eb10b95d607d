#include "scenarios/app/joint_result.h"
#include "models/core/error.h"
#include <nlohmann/json.hpp>

namespace stifle::app
{
namespace
{
using Angles = std::vector<std::pair<std::string, std::optional<double>>>;

nlohmann::json number(const std::optional<double> &value) { return value ? nlohmann::json(*value) : nlohmann::json(nullptr); }

std::optional<double> number(const nlohmann::json &value) { return value.is_null() ? std::nullopt : std::optional(value.get<double>()); }

nlohmann::json to_json(const Angles &angles)
{
  nlohmann::json list = nlohmann::json::array();
  for (const auto &[name, angle] : angles)
    list.push_back({name, number(angle)});
  return list;
}

/// What summary.json tells of a band.
nlohmann::json to_json(const std::vector<NeutralBand> &bands)
{
  nlohmann::json list = nlohmann::json::array();
  for (const NeutralBand &b : bands)
    list.push_back({b.line, number(b.angle.low), number(b.angle.median), number(b.angle.high), number(b.measured.low),
                    number(b.measured.high), b.angle.samples, b.angle.failed});
  return list;
}

std::vector<NeutralBand> bands_from_json(const nlohmann::json &list)
{
  std::vector<NeutralBand> bands;
  for (const nlohmann::json &item : list)
  {
    NeutralBand b;
    b.line = item.at(0).get<std::string>();
    b.angle.low = number(item.at(1)), b.angle.median = number(item.at(2)), b.angle.high = number(item.at(3));
    b.measured.low = number(item.at(4)), b.measured.high = number(item.at(5));
    b.angle.samples = item.at(6).get<std::size_t>(), b.angle.failed = item.at(7).get<std::size_t>();
    bands.push_back(b);
  }
  return bands;
}

Angles from_json(const nlohmann::json &list)
{
  Angles angles;
  for (const nlohmann::json &item : list)
    angles.emplace_back(item.at(0).get<std::string>(), number(item.at(1)));
  return angles;
}
} // namespace

std::string joint_file(const std::string &folder) { return folder + "/cases/joint.json"; }

std::string joint_text(const JointResult &result, const std::string &fingerprint)
{
  return nlohmann::json{{"fingerprint", fingerprint},
                        {"error", result.error},
                        {"by_load_set", to_json(result.neutral.by_load_set)},
                        {"by_activity", to_json(result.neutral.by_activity)},
                        {"bands", to_json(result.neutral.bands)}}
             .dump() +
         "\n";
}

JointResult read_joint_text(const std::string &text, const std::string &fingerprint)
{
  try
  {
    const nlohmann::json file = nlohmann::json::parse(text);
    if (file.at("fingerprint") != fingerprint)
      throw Error("the joint of another scenario or program");
    JointResult result;
    result.error = file.at("error").get<std::string>();
    result.neutral.by_load_set = from_json(file.at("by_load_set"));
    result.neutral.by_activity = from_json(file.at("by_activity"));
    result.neutral.bands = bands_from_json(file.at("bands"));
    return result;
  }
  catch (const nlohmann::json::exception &error)
  {
    throw Error(std::string("broken file of a finished joint: ") + error.what());
  }
}
} // namespace stifle::app
