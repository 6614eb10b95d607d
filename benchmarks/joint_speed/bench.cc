// bench_joint_speed [postures [seed]] - postures a second of the joint in three dimensions over the dogs of the study
//   dogs     models/study: sampled_dog at the points of study.design with that many samples; 36 postures each
//   posture  stand, walk or trot at 25, 50 or 75 % of stance; unoperated and levelled to 15, 10, 6 or 0 deg in turn; once intact
//            and once torn (a torn one finds its intact pose first: it counts once and costs two)
//   prints   rate on 1 and 2 threads, iterations, failures with reasons, cost against samples, share of the time in contact, and
//            fineness of the bed (fineness.h)
//   time     processor time of the process beside wall clock and load average: the machine may be shared
#include "benchmarks/joint_speed/fineness.h"
#include "models/core/error.h"
#include "models/study/bands.h"
#include <algorithm>
#include <chrono>
#include <ctime>
#include <fmt/format.h>
#include <fstream>
#include <map>

using namespace stifle;

namespace
{
constexpr std::array<const char *, 3> gaits = {"stand", "walk", "trot"};
constexpr std::array<double, 3> percents = {25, 50, 75};
constexpr std::array<double, 4> targets_deg = {15, 10, 6, 0};
constexpr std::size_t per_dog = 2 * gaits.size() * percents.size() * 2;

struct Result
{
  bool converged = false, dislocates = false;
  int iterations = 0;
  double thrust_n = 0;
  std::string group, key; ///< of a failure
};

Draws draws_of(std::size_t n_dogs, int seed)
{
  Scenario s;
  s.study.samples = int(n_dogs);
  s.study.seed = seed;
  std::vector<Activity> activities;
  for (const char *gait : gaits)
    activities.push_back(activity_named(gait));
  return Draws(s, activities);
}

/// The postures of one dog in a fixed order; an empty place where the arc cannot be cut in this dog.
std::vector<std::optional<JointCase>> cases_of(const SampledDog &dog, std::size_t sample)
{
  std::vector<std::optional<JointCase>> all;
  for (const bool levelled : {false, true})
  {
    std::optional<SampledBone> bone;
    try
    {
      bone = levelled ? sampled_bone(dog, "levelling", targets_deg[sample % targets_deg.size()]) : unoperated_bone(dog);
    }
    catch (const Error &)
    {
    }
    for (const char *gait : gaits)
      for (const double percent : percents)
        for (const LigamentState ligament : {LigamentState::intact, LigamentState::torn})
          if (bone)
            all.push_back(JointCase{
                bone->scenario, bone->bone, ligament, LoadSet::stance,
                load_of_instant(bone->scenario, bone->bone, LoadSet::stance, find_activity(dog.activities, gait), percent)});
          else
            all.emplace_back();
  }
  return all;
}

Result solve(const JointCase &c, std::size_t sample)
{
  const JointState state = solve_joint(c);
  Result r{state.converged, state.dislocates, state.iterations, state.thrust_n, "", ""};
  if (state.converged)
    return r;
  const bool cut = c.bone.levelling.cut;
  r.group = fmt::format("{} {} {}: {}", to_string(c.ligament), c.load.activity, cut ? "levelled" : "unoperated", state.reason);
  r.key = fmt::format("dog {} {} {} {}", sample, to_string(c.ligament), c.load.activity,
                      cut ? targets_deg[sample % targets_deg.size()] : -1.0);
  return r;
}

double processor_seconds() { return double(std::clock()) / CLOCKS_PER_SEC; }
double wall_seconds() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }
std::string load_average()
{
  std::ifstream file("/proc/loadavg");
  std::string one;
  file >> one;
  return one;
}

struct Run
{
  std::vector<Result> results;
  std::size_t uncut = 0; ///< postures whose arc cannot be cut
  double processor_us_each = 0;
};

Run run(const Draws &draws, std::size_t n_dogs, int threads)
{
  std::vector<std::vector<Result>> found(n_dogs);
  const double wall = wall_seconds(), processor = processor_seconds();
  for_each_index(n_dogs, threads,
                 [&](std::size_t sample)
                 {
                   for (const std::optional<JointCase> &c : cases_of(draws.dog(sample), sample))
                     if (c)
                       found[sample].push_back(solve(*c, sample));
                 });
  const double spent = processor_seconds() - processor, passed = wall_seconds() - wall;
  Run all;
  for (const std::vector<Result> &each : found)
    all.results.insert(all.results.end(), each.begin(), each.end());
  all.uncut = n_dogs * per_dog - all.results.size();
  const double n = double(all.results.size());
  all.processor_us_each = 1e6 * spent / n;
  fmt::print("{:6.0f} postures, {} dogs, {} thread(s): wall {:.2f} s, processor {:.2f} s, {:.0f} postures/min wall, {:.0f} "
             "postures/s/core of processor time; load average {}\n",
             n, n_dogs, threads, passed, spent, 60 * n / passed, n / spent, load_average());
  std::fflush(stdout);
  return all;
}

void print_iterations(const std::vector<Result> &results)
{
  for (const std::size_t torn : {0, 1})
  {
    std::vector<int> n;
    double sum = 0;
    for (std::size_t i = torn; i < results.size(); i += 2)
      n.push_back(results[i].iterations);
    std::sort(n.begin(), n.end());
    for (const int each : n)
      sum += each;
    fmt::print("Newton iterations, {}: mean {:.1f}, median {}, 99 % {}, most {}\n", torn ? "torn with its intact pose" : "intact",
               sum / double(n.size()), n[n.size() / 2], n[n.size() * 99 / 100], n.back());
  }
}

void print_failures(const std::vector<Result> &results)
{
  std::map<std::string, int> why;
  int failed = 0, dislocated = 0;
  for (const Result &r : results)
    if (!r.converged)
    {
      ++why[r.group];
      (r.dislocates ? dislocated : failed)++;
      fmt::print(stderr, "{}: {}\n", r.key, r.group);
    }
  const double n = double(results.size());
  fmt::print("the joint dislocates: {} of {:.0f}; search failed: {} of {:.0f} ({:.2f} in 10 000)\n", dislocated, n, failed, n,
             1e4 * failed / n);
  for (const auto &[group, count] : why)
    fmt::print("  {:6} {}\n", count, group);
}

/// The shorter run against the first dogs of the longer one.
bool same(const std::vector<Result> &shorter, const std::vector<Result> &longer)
{
  return std::equal(shorter.begin(), shorter.end(), longer.begin(),
                    [](const Result &x, const Result &y) { return x.thrust_n == y.thrust_n && x.iterations == y.iterations; });
}

std::vector<JointCase> recorded(const Draws &draws, std::size_t n_dogs, std::size_t n_cases)
{
  std::vector<JointCase> all;
  for (std::size_t sample = 0; sample < n_dogs && all.size() < n_cases; ++sample)
  {
    const auto cases = cases_of(draws.dog(sample), sample);
    for (std::size_t i = sample % 5; i < cases.size(); i += 5) // every posture in turn
      if (cases[i])
        all.push_back(*cases[i]);
  }
  return all;
}
} // namespace

int main(int argc, char **argv)
{
  const std::size_t n = argc > 1 ? std::max(400, std::atoi(argv[1])) : 100000, n_dogs = (n + per_dog - 1) / per_dog;
  try
  {
    const Draws draws = draws_of(n_dogs, argc > 2 ? std::atoi(argv[2]) : 1);
    run(draws, std::max<std::size_t>(1, n_dogs / 8), 1);
    const Run one = run(draws, n_dogs / 4, 1), two = run(draws, n_dogs, 2);
    fmt::print("every thrust and count of a quarter of the dogs equal on 1 and 2 threads: {}\n",
               same(one.results, two.results) ? "yes" : "NO");
    fmt::print("postures left out, as no arc can be cut in their dog: {}\n", two.uncut);
    print_iterations(two.results);
    print_failures(two.results);
    double iterations = 0;
    for (const Result &r : one.results)
      iterations += double(r.iterations) / double(one.results.size());
    const bench::Poses poses = bench::recorded_poses(recorded(draws, n_dogs, 600));
    bench::print_contact_share(poses, one.processor_us_each, iterations);
    bench::print_fineness(poses);
    return same(one.results, two.results) ? 0 : 1;
  }
  catch (const std::exception &error)
  {
    fmt::print(stderr, "{}\n", error.what());
    return 1;
  }
}
