#include "models/core/error.h"
#include "viz/bars.h"
#include "viz/joint_rows.h"
#include "viz/picture.h"
#include "viz/sheet.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1500, height = 900;

/// One state of the joint: by hand and under weight.
struct State
{
  std::optional<double> drawer_mm, thrust_n, translation_mm;
};

struct Numbers
{
  State intact, torn, levelled;
  double hand_force_n = 0, stifle_angle_deg = 0;
};

/// Rows of the drawer test with the largest cranial pull of the hand, at the stifle angle nearest to the wanted one.
std::vector<std::size_t> drawer_rows(const TableRows &passive, double stifle_angle_deg)
{
  std::vector<std::size_t> pulled;
  for (const std::size_t r : passive.where({{"test", "drawer"}}))
    if (passive.number(r, "hand_force_n").value_or(0) > 0)
      pulled.push_back(r);
  pulled = passive.nearest(pulled, "stifle_angle_deg", stifle_angle_deg);
  return passive.nearest(pulled, "hand_force_n", 1e9);
}

std::optional<double> drawer(const TableRows &passive, const std::vector<std::size_t> &rows, const RowKey &key)
{
  std::vector<std::size_t> fitting;
  for (const std::size_t r : rows)
    if (passive.word(r, "repair") == key.repair && passive.word(r, "ligament") == key.ligament &&
        passive.number(r, "translation_cranial_mm"))
      fitting.push_back(r);
  fitting = passive.nearest(fitting, "plateau_angle_deg", key.plateau_angle_target_deg);
  return fitting.empty() ? std::nullopt : passive.number(fitting.front(), "translation_cranial_mm");
}

Numbers read_numbers(const DrawerPicture &picture)
{
  const TableRows passive(picture.folder + "/passive.csv");
  const JointRows rows(picture.folder + "/joint.csv");
  const auto hand = drawer_rows(passive, picture.stifle_angle_deg);
  Numbers numbers;
  if (!hand.empty())
  {
    numbers.hand_force_n = passive.number(hand.front(), "hand_force_n").value_or(0);
    numbers.stifle_angle_deg = passive.number(hand.front(), "stifle_angle_deg").value_or(0);
  }
  const auto read = [&](State &state, const RowKey &key)
  {
    state.drawer_mm = drawer(passive, hand, key);
    if (const auto found = rows.find(key); !found.empty())
    {
      state.thrust_n = rows.number(found.front(), "thrust_n");
      state.translation_mm = rows.number(found.front(), "translation_cranial_mm");
    }
  };
  const std::string &activity = picture.activity;
  const double percent = picture.stance_percent;
  read(numbers.intact, {"none", picture.native_deg, "intact", "stance", activity, percent});
  read(numbers.torn, {"none", picture.native_deg, "torn", "stance", activity, percent});
  read(numbers.levelled, {"levelling", picture.levelled_deg, "torn", "stance", activity, percent});
  return numbers;
}

BarChart chart(int place, const std::string &title, const std::string &y_title)
{
  BarChart bars;
  const double each = width / 3.0;
  bars.low = {each * place + 130, 175};
  bars.high = {each * (place + 1) - 30, height - 180.0};
  bars.title = title;
  bars.y_title = y_title;
  bars.groups = {"torn,\nunoperated", "torn,\nlevelled"};
  bars.kinds = {""};
  bars.colours = {1, 0};
  return bars;
}

void draw(const DrawerPicture &picture, const Numbers &n)
{
  Canvas canvas(width, height);
  draw_sheet(canvas, {"Drawer by hand against weight bearing",
                      {fmt::format("by hand: {:g} N cranial pull, stifle {:g}\u00b0; weight bearing: {}, {:g} % of stance",
                                   n.hand_force_n, n.stifle_angle_deg, picture.activity, picture.stance_percent)},
                      picture.caution});
  BarChart hand = chart(0, "by hand: drawer", "tibia moves cranially, mm");
  hand.values = {{n.torn.drawer_mm}, {n.levelled.drawer_mm}};
  if (n.intact.drawer_mm)
  {
    hand.groups.insert(hand.groups.begin(), "intact");
    hand.values.insert(hand.values.begin(), {n.intact.drawer_mm});
    hand.colours.insert(hand.colours.begin(), 2);
  }
  BarChart thrust = chart(1, "weight bearing: thrust", "thrust, N  (above zero: cranial)");
  thrust.values = {{n.torn.thrust_n}, {n.levelled.thrust_n}};
  thrust.format = "{:.0f}";
  BarChart moved = chart(2, "weight bearing: translation", "against the intact joint, mm  (above zero: cranial)");
  moved.values = {{n.torn.translation_mm}, {n.levelled.translation_mm}};
  for (const BarChart &bars : {hand, thrust, moved})
    draw_bars(canvas, bars);
  canvas.text({width / 2.0, 48},
              fmt::format("levelled to {:g}\u00b0; by hand the test shows looseness, under weight what the slope does",
                          picture.levelled_deg),
              {18, ink, AlignX::centre, AlignY::bottom});
  canvas.save(picture.png);
}
} // namespace

bool draw_drawer(const DrawerPicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/passive.csv, joint.csv", why,
                     [&]
                     {
                       const Numbers numbers = read_numbers(picture);
                       if (!numbers.torn.drawer_mm || !numbers.levelled.drawer_mm)
                         throw Error("no drawer test of the torn joint, unoperated and levelled");
                       if (!numbers.torn.thrust_n || !numbers.levelled.thrust_n)
                         throw Error(
                             fmt::format("no torn {} rows at {:g} % of stance", picture.activity, picture.stance_percent));
                       draw(picture, numbers);
                     });
}
} // namespace stifle::viz
