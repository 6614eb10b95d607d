#include "models/margins/strength_draw.h"
#include "models/core/error.h"
#include "models/margins/yield.h"
#include "models/parts/part_name.h"
#include <cmath>
#include <fmt/format.h>

namespace stifle
{
namespace
{
double number_of(const Margin &margin, const StrengthDraw &draw)
{
  const std::string &mode = margin.mode;
  if (is_yield(mode))
    return is_plate(margin.part) ? draw.plate : is_screw(margin.part) ? draw.screws : draw.bone;
  if (mode == "bone_strain" || mode == "pull_out" || mode == "push_out")
    return draw.bone;
  if (mode == "tendon_pull")
    return draw.tuberosity;
  if (mode == "strength")
    return draw.soft_tissue;
  return mode == "whole_bone" ? draw.whole_bone : 0;
}
} // namespace

double log_normal_factor(double cv, double z)
{
  if (!std::isfinite(cv) || cv < 0 || !std::isfinite(z))
    throw Error(fmt::format("margin: a spread of {} at {} is no spread", cv, z));
  return std::exp(z * std::sqrt(std::log1p(cv * cv)));
}

double drawn_capacity(const Margin &margin, const StrengthDraw &draw)
{
  return margin.capacity * log_normal_factor(margin.capacity_sd / margin.capacity, number_of(margin, draw));
}
} // namespace stifle
