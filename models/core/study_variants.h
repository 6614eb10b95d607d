// models/core/study_variants.h - a study expanded: study.vary x study.dogs as scenarios with stable names
//   combination  one choice of values for study.vary, in the order of the file, the last key fastest; checked like a scenario of its own
//   variant      a combination and, with study.dogs, one drawn dog: number i is combination i / dogs, dog 1 + i % dogs
//   name         "30kg_25deg-HASH", "30kg_25deg_dog0007-HASH": mass and plateau angle to read, then 64 bits of FNV-1a over every value
//                of the variant: the same values give the same name, whatever the order of the keys and the rest of the study
#pragma once
#include "models/core/scenario.h"
#include "models/core/yaml_node.h"

namespace stifle
{
struct Combination
{
  Scenario                 scenario; ///< without study.vary and study.dogs
  std::vector<std::string> values;   ///< one for each varied key, as in the file
};

struct Study
{
  std::string              file;
  Scenario                 scenario;     ///< as written, study.vary and study.dogs included
  std::vector<Combination> combinations; ///< one, the scenario itself, when nothing is varied

  std::size_t size() const { return combinations.size() * dogs_each(); }
  std::size_t dogs_each() const { return std::size_t(std::max(1, scenario.study.dogs)); }
  const Combination &combination(std::size_t variant) const { return combinations[variant / dogs_each()]; }
  int dog(std::size_t variant) const { return scenario.study.dogs > 0 ? int(1 + variant % dogs_each()) : 0; }
  Scenario variant(std::size_t number) const; ///< a scenario of its own: `stifle run` takes its echo
  std::vector<std::string> keys() const;      ///< varied keys; study.dog is the last with study.dogs
  std::vector<std::string> values(std::size_t variant) const; ///< of those keys
  std::vector<std::string> names() const;     ///< of every variant
};

/// Throws InputError with every problem of the scenario or, when that is fine, of the variants: at the line of the value in
/// study.vary. A problem that several variants share is told once.
Study read_study(const std::string &file);

/// Gathers what is wrong with variants: problems of a combination move to the line of study.vary and say which it is.
class VariantProblems
{
public:
  explicit VariantProblems(const Study &study);
  void add(std::size_t combination, const InputError &error);
  void finish() const; ///< throws InputError when there is any problem

private:
  const Study              &study_;
  YamlNode                  vary_;
  std::vector<InputProblem> problems_;
};

Scenario read_scenario(YamlReader &reader); ///< as that of a file, from a tree
} // namespace stifle
