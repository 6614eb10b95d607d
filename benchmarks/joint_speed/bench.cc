// bench_joint_speed [postures [seed]] - postures a second of the joint in three dimensions over sampled dogs
//   dog      large dog; evenly spread: plateau angle 19-31 deg, tibial insertions +-1 mm each way, tendon insertion +-2 mm,
//   stiffness of
//            each bundle +-30 %, rest length +-1 %, cartilage modulus 5-11 MPa; half of them levelled to 0-14 deg
//   posture  stand, walk or trot at 5-95 % of stance, each once intact and once torn (a torn one finds the intact pose first)
//   prints   rate on 1 and 2 threads, iterations, failures with reasons, cost against samples, share of the time in contact, and
//            fineness of the bed, both on recorded poses
//   time     processor time of the process beside the wall clock: the machine may be shared
#include "models/core/error.h"
#include "models/joint/spatial_joint.h"
#include <algorithm>
#include <chrono>
#include <ctime>
#include <fmt/format.h>
#include <functional>
#include <map>
#include <random>
#include <thread>

using namespace stifle;

namespace
{
struct Result
{
  bool converged = false;
  int iterations = 0;
  double thrust_n = 0;
  std::string group; ///< of a failure
};

struct Recorded
{
  SpatialSetup coarse, fine;
  Vector7 unknowns;
};

const std::vector<Activity> &activities()
{
  static const std::vector<Activity> all = default_activities();
  return all;
}

void vary(Anatomy &a, const std::function<double()> &even)
{
  for (Bundle &b : a.joint.bundles)
  {
    b.stiffness_n_per_mm *= 1 + 0.3 * even();
    b.rest_mm *= 1 + 0.01 * even();
    b.tibia += Vector3(even(), even(), even());
  }
  a.tendon_insertion += 2 * Vector3(even(), even(), even());
}

/// The pair of postures of one dog; the same for every number of threads.
JointCase sampled_case(int dog, int seed)
{
  std::seed_seq words{seed, dog};
  std::mt19937 random(words);
  const auto even = [&random] { return std::uniform_real_distribution<double>(-1, 1)(random); };
  Scenario s;
  s.tibia.plateau_angle_deg = 25 + 6 * even();
  s.joint.layer_modulus_mpa = 8 + 3 * even();
  Anatomy a = make_anatomy(s);
  vary(a, even);
  const bool levelled = dog % 2 == 1;
  const OperatedAnatomy bone = operate(a, levelled ? plan_levelling(s, a, radians(7 + 7 * even())) : no_levelling(a));
  const char *names[] = {"stand", "walk", "trot"};
  const Activity &activity = *find_activity(activities(), names[dog / 2 % 3]);
  return {s, bone, LigamentState::intact, LoadSet::stance, stance_load(s, bone.anatomy, activity, 50 + 45 * even())};
}

Result solve(const JointCase &c)
{
  const JointState state = solve_joint(c);
  Result r{state.converged, state.iterations, state.thrust_n, ""};
  if (!state.converged)
    r.group = fmt::format("{} {} {}: {}", to_string(c.ligament), c.load.activity,
                          c.bone.levelling.cut ? "levelled" : "unoperated", state.reason);
  return r;
}

double processor_seconds() { return double(std::clock()) / CLOCKS_PER_SEC; }
double wall_seconds() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

/// Both postures of dogs first, first + step, ...
void solve_dogs(std::vector<Result> &results, int first, int step, int seed)
{
  for (std::size_t dog = first; 2 * dog + 1 < results.size(); dog += step)
  {
    JointCase c = sampled_case(int(dog), seed);
    for (const LigamentState state : {LigamentState::intact, LigamentState::torn})
    {
      c.ligament = state;
      results[2 * dog + (state == LigamentState::torn)] = solve(c);
    }
  }
}

std::vector<Result> run(int n_postures, int n_threads, int seed)
{
  std::vector<Result> results(n_postures / 2 * 2);
  const double wall = wall_seconds(), processor = processor_seconds();
  std::vector<std::thread> threads;
  for (int i = 1; i < n_threads; ++i)
    threads.emplace_back([&results, i, n_threads, seed] { solve_dogs(results, i, n_threads, seed); });
  solve_dogs(results, 0, n_threads, seed);
  for (std::thread &thread : threads)
    thread.join();
  const double spent = processor_seconds() - processor, passed = wall_seconds() - wall;
  fmt::print(
      "{:7} postures  {} thread(s)  wall {:7.2f} s  processor {:7.2f} s  {:6.0f} postures/s wall  {:6.0f} postures/s/core\n",
      results.size(), n_threads, passed, spent, results.size() / passed, results.size() / spent);
  std::fflush(stdout);
  return results;
}

void print_iterations_and_failures(const std::vector<Result> &results)
{
  std::map<std::string, int> why;
  std::vector<int> iterations[2];
  for (std::size_t i = 0; i < results.size(); ++i)
  {
    iterations[i % 2].push_back(results[i].iterations);
    if (!results[i].converged)
      ++why[results[i].group];
  }
  for (int torn : {0, 1})
  {
    std::vector<int> &n = iterations[torn];
    std::sort(n.begin(), n.end());
    double sum = 0;
    for (int each : n)
      sum += each;
    fmt::print("iterations {:7} mean {:.1f}, median {}, 99 % {}, most {}\n", torn ? "torn" : "intact", sum / n.size(),
               n[n.size() / 2], n[n.size() * 99 / 100], n.back());
  }
  int failures = 0;
  for (const auto &[group, count] : why)
    failures += count;
  fmt::print("failures {} of {} ({:.2f} in 10 000)\n", failures, results.size(), 1e4 * failures / results.size());
  for (const auto &[group, count] : why)
    fmt::print("  {:6} {}\n", count, group);
}

std::vector<Recorded> record(int n_postures, int seed)
{
  std::vector<Recorded> all;
  for (int dog = 0; int(all.size()) < n_postures; ++dog)
  {
    JointCase c = sampled_case(dog, seed);
    c.ligament = dog % 4 < 2 ? LigamentState::intact : LigamentState::torn;
    const JointState state = solve_joint(c);
    if (state.converged)
      all.push_back({SpatialSetup(c), SpatialSetup(c, {32, 8}), Eigen::Map<const Vector7>(state.unknowns.data())});
  }
  return all;
}

template <class Work> double microseconds(const std::vector<Recorded> &poses, const Work &work)
{
  const double start = processor_seconds();
  const int rounds = 20;
  for (int i = 0; i < rounds; ++i)
    for (const Recorded &r : poses)
      work(r);
  return 1e6 * (processor_seconds() - start) / (rounds * double(poses.size()));
}

void print_contact_share(const std::vector<Recorded> &poses, double solve_us, double iterations)
{
  double sink = 0;
  const auto add = [&sink](const BedWrench &w) { sink += w.load_n; };
  const double bed = microseconds(poses,
                                  [&](const Recorded &r)
                                  {
                                    const RigidPose femur = pose_of(r.coarse, r.unknowns).femur;
                                    for (int side : {medial, lateral})
                                      add(r.coarse.beds[side].wrench(femur));
                                  });
  const double rim = microseconds(poses,
                                  [&](const Recorded &r)
                                  {
                                    const RigidPose femur = pose_of(r.coarse, r.unknowns).femur;
                                    for (int side : {medial, lateral})
                                      add(r.coarse.rims[side].wrench(femur));
                                  });
  const double balance =
      microseconds(poses, [&](const Recorded &r) { sink += spatial_balance(r.coarse, r.unknowns).residual(0); });
  fmt::print("one evaluation of the balance {:.1f} us: cartilage beds {:.1f} us ({:.0f} %), menisci {:.1f} us ({:.0f} %)\n",
             balance, bed, 100 * bed / balance, rim, 100 * rim / balance);
  fmt::print("a posture {:.0f} us and {:.1f} iterations: contact (beds and menisci) at least {:.0f} % of the time [{:.0f}]\n",
             solve_us, iterations, 100 * iterations * (bed + rim) / solve_us, sink > 0 ? 1.0 : 0.0);
}

/// Beds of the recorded poses against fourfold finer ones.
void print_fineness(const std::vector<Recorded> &poses)
{
  std::vector<double> force, moment, peak;
  for (const Recorded &r : poses)
    for (int side : {medial, lateral})
    {
      const RigidPose femur = pose_of(r.coarse, r.unknowns).femur;
      const BedWrench a = r.coarse.beds[side].wrench(femur), b = r.fine.beds[side].wrench(femur);
      if (b.load_n < 1)
        continue;
      const Vector6 missed = a.on_tibia - b.on_tibia;
      const Vector3 turned = missed.tail<3>() - femur.shift_mm.cross(Vector3(missed.head<3>()));
      force.push_back(missed.head<3>().norm() / b.on_tibia.head<3>().norm());
      moment.push_back(turned.norm() / 13 / b.on_tibia.head<3>().norm());
      peak.push_back(std::abs(a.peak_mpa / b.peak_mpa - 1));
    }
  fmt::print("bed against a fourfold finer one, {} compartments, percent (median, 99 %, most):\n", force.size());
  for (auto *list : {&force, &moment, &peak})
  {
    std::sort(list->begin(), list->end());
    fmt::print("  {:28} {:.4f} {:.4f} {:.4f}\n",
               list == &force    ? "force"
               : list == &moment ? "moment over 13 mm"
                                 : "peak pressure",
               100 * (*list)[list->size() / 2], 100 * (*list)[list->size() * 99 / 100], 100 * list->back());
  }
}

bool same(const std::vector<Result> &a, const std::vector<Result> &b)
{
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const Result &x, const Result &y) { return x.thrust_n == y.thrust_n && x.iterations == y.iterations; });
}
} // namespace

int main(int argc, char **argv)
{
  const int n = argc > 1 ? std::max(8, std::atoi(argv[1])) : 100000, seed = argc > 2 ? std::atoi(argv[2]) : 1;
  try
  {
    run(n / 4, 1, seed);
    run(n / 2, 1, seed);
    const double before = processor_seconds();
    const std::vector<Result> one = run(n, 1, seed);
    const double each_us = 1e6 * (processor_seconds() - before) / n;
    const std::vector<Result> two = run(n, 2, seed);
    fmt::print("every thrust and count equal on 1 and 2 threads: {}\n", same(one, two) ? "yes" : "NO");
    print_iterations_and_failures(one);
    double iterations = 0;
    for (const Result &r : one)
      iterations += double(r.iterations) / one.size();
    const std::vector<Recorded> poses = record(std::min(n, 1000), seed);
    print_contact_share(poses, each_us, iterations);
    print_fineness(poses);
    return same(one, two) ? 0 : 1;
  }
  catch (const std::exception &error)
  {
    fmt::print(stderr, "{}\n", error.what());
    return 1;
  }
}
