#include "viz/joint_drawing.h"
#include "viz/sheet.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr double words_size = 20, words_step = 24, item_step = 54, words_room = 195; // of the labels beside the drawing, pixels
constexpr double room_below = 122, room_above = 40;
constexpr Colour cartilage = {{0.35, 0.50, 0.62}}, bone_edge = {{0.50, 0.44, 0.33}}, femur_fill = {{0.86, 0.85, 0.82}};

/// A force arrow with its words beside the drawing.
struct Labelled
{
  Pixel from, to;
  std::string name, value;
  Colour colour;
};

class Panel
{
public:
  Panel(Canvas &canvas, const JointPanel &panel) : canvas_(canvas), panel_(panel) {}

  Pixel place(const Vector3 &p) const
  {
    const double scale = panel_pixels_per_mm(panel_);
    return {(panel_.low.x() + panel_.high.x()) / 2 - (p.x() - view_middle_x_mm) * scale,
            bottom() + (p.z() - view_low_mm) * scale};
  }
  double pixels(double mm) const { return mm * panel_pixels_per_mm(panel_); }

  void tibia() const;
  void femur() const;
  void soft_tissue() const;
  void forces() const;

private:
  Canvas &canvas_;
  const JointPanel &panel_;

  double bottom() const { return panel_.low.y() + room_below; }
  Pixels place(const std::vector<Vector3> &points) const
  {
    Pixels pixels;
    for (const Vector3 &p : points)
      pixels.push_back(place(p));
    return pixels;
  }
  void outline(const std::vector<Vector3> &points, const Colour &fill) const
  {
    Pixels line = place(points);
    canvas_.polygon(line, fill);
    line.push_back(line.front());
    canvas_.line(line, bone_edge, 2);
  }
  FemurOutlines femur_shape() const;
  std::vector<Labelled> arrows() const;
  void label_column(std::vector<Labelled> items, bool left) const;
  void hollow_arrow(const Pixel &from, const Pixel &to) const;
};

void Panel::tibia() const
{
  const TibiaOutlines t = tibia_outlines(panel_.shape);
  outline(t.whole, bone);
  if (!t.moved.empty())
  {
    Pixels hole = place(t.left);
    canvas_.polygon(hole, {{1, 1, 1}});
    hole.push_back(hole.front());
    canvas_.line(hole, {{1, 1, 1}}, 5);
    canvas_.line(hole, bone_edge, 1.2, Dash::dotted); // where the segment was
    outline(t.moved, bone);
  }
  canvas_.line(place(t.surface), cartilage, 6);
  canvas_.line(place(t.chord), ink, 2, Dash::dashed);
}

FemurOutlines Panel::femur_shape() const
{
  return femur_outlines(panel_.shape.bone.anatomy, panel_.points.at("femur_origin").at, panel_.stifle_angle_rad);
}

void Panel::femur() const
{
  const FemurOutlines f = femur_shape();
  const Vector3 centre = panel_.points.at("femur_origin").at;
  canvas_.polygon(place(f.shaft), femur_fill);
  canvas_.disc(place(f.trochlea), pixels(f.trochlea_radius_mm), femur_fill);
  canvas_.circle(place(f.trochlea), pixels(f.trochlea_radius_mm), grey, 1.5);
  canvas_.disc(place(centre), pixels(f.condyle_radius_mm), femur_fill);
  canvas_.circle(place(centre), pixels(f.condyle_radius_mm), cartilage, 4);
  canvas_.disc(place(centre), 4, ink);
  if (panel_.intact_condyle && (*panel_.intact_condyle - centre).norm() > 0.5)
    canvas_.line(arc(place(*panel_.intact_condyle), pixels(f.condyle_radius_mm), 0, 2 * pi), ink, 1.8, Dash::dashed);
}

void Panel::soft_tissue() const
{
  const Anatomy &a = panel_.shape.bone.anatomy;
  const FemurOutlines f = femur_shape();
  const Vector3 patella = panel_.points.at("patella").at;
  constexpr Colour tendon = {{0.62, 0.58, 0.52}};
  const Vector3 pull = (f.quadriceps_origin - patella).normalized();
  canvas_.line({place(a.tendon_insertion), place(patella)}, tendon, 7);
  canvas_.line({place(patella), place(patella + 22 * pull)}, tendon, 7);
  canvas_.disc(place(patella + 3 * pull), pixels(4.5), femur_fill);
  canvas_.circle(place(patella + 3 * pull), pixels(4.5), bone_edge, 2);
  const bool torn = panel_.torn;
  canvas_.line({place(a.cranial_cruciate_tibia), place(f.cranial_cruciate)}, torn ? grey : ink, torn ? 2 : 4,
               torn ? Dash::dotted : Dash::solid);
  canvas_.line({place(a.caudal_cruciate_tibia), place(f.caudal_cruciate)}, tendon, 4);
}

std::vector<Labelled> Panel::arrows() const
{
  std::vector<Labelled> found;
  for (const DrawnForce &f : drawn_forces(panel_.points))
    if (f.force_n.norm() >= panel_.least_drawn_n)
      found.push_back(
          {place(f.at), place(f.at + f.force_n * panel_.mm_per_n), f.words, fmt::format("{:.0f} N", f.force_n.norm()), f.colour});
  return found;
}

/// Words in a column at the edge of the panel, each joined to the middle of its arrow; heights as close to it as room allows.
void Panel::label_column(std::vector<Labelled> items, bool left) const
{
  const auto middle = [](const Labelled &item) -> Pixel { return (item.from + item.to) / 2; };
  std::sort(items.begin(), items.end(), [&](const auto &a, const auto &b) { return middle(a).y() > middle(b).y(); });
  double below = 1e300, least = bottom() + item_step * (double(items.size()) - 0.5);
  for (const Labelled &item : items)
  {
    least -= item_step; // leaves room for those below
    const double y = std::min(std::max(middle(item).y(), least), below - item_step);
    below = y;
    const std::string &longer = item.name.size() > item.value.size() ? item.name : item.value;
    const TextStyle style =
        fitted(canvas_, longer, {words_size, item.colour, left ? AlignX::left : AlignX::right, AlignY::centre, true}, words_room);
    const double x = left ? panel_.low.x() + 8 : panel_.high.x() - 8;
    const double wide = std::max(canvas_.text_size(item.name, style).x(), canvas_.text_size(item.value, style).x()) + 8;
    canvas_.line({{x + (left ? wide : -wide), y}, middle(item)}, item.colour, 1.2);
    canvas_.text({x, y + words_step / 2}, item.name, style);
    canvas_.text({x, y - words_step / 2}, item.value, style);
  }
}

void Panel::hollow_arrow(const Pixel &from, const Pixel &to) const
{
  const double length = (to - from).norm();
  if (length < 1)
    return;
  const Pixel along = (to - from) / length, side(-along.y(), along.x()), neck = to - along * std::min(18.0, length);
  Pixels shape{from + side * 5, neck + side * 5, neck + side * 11, to, neck - side * 11, neck - side * 5, from - side * 5};
  canvas_.polygon(shape, {{1, 1, 1}});
  shape.push_back(shape.front());
  canvas_.line(shape, ink, 2.2);
}

void Panel::forces() const
{
  std::vector<Labelled> left, right;
  for (const Labelled &item : arrows())
  {
    if (const Pixel way = item.to - item.from; way.norm() > 20)
      canvas_.line({item.from, item.to - way.normalized() * 8}, {{1, 1, 1}}, 8); // a white rim sets it off the bone
    canvas_.arrow(item.from, item.to, item.colour, 5);
    const bool cranial = (item.from.x() + item.to.x()) / 2 < place(view_middle_x_mm * Vector3::UnitX()).x();
    (cranial ? left : right).push_back(item);
  }
  // Thrust: along the plateau, drawn inside the segment as a hollow arrow, since it is a sum and not one force.
  const Anatomy &a = panel_.shape.bone.anatomy;
  const Vector3 from = panel_.shape.bone.plateau_origin - 9 * plateau_normal(a),
                to = from + panel_.thrust_n * panel_.mm_per_n * plateau_chord(a);
  hollow_arrow(place(from), place(to));
  (panel_.thrust_n >= 0 ? left : right)
      .push_back({place(from), place(to), "thrust",
                  fmt::format("{:.0f} N {}", std::abs(panel_.thrust_n), panel_.thrust_n < 0 ? "caudally" : "cranially"), ink});
  label_column(left, true);
  label_column(right, false);
}
/// Colour and words of a point that carries a force; none for places without an arrow.
struct Kind
{
  const char *point, *words;
  Colour colour;
};
const Kind kinds[] = {{"patellar_tendon", "patellar tendon", line_colours[1]},
                      {"cruciate_cranial", "cranial cruciate", line_colours[3]},
                      {"cruciate_caudal", "caudal cruciate", line_colours[3]},
                      {"secondary", "soft tissue", line_colours[3]},
                      {"collateral_medial", "medial collateral", line_colours[3]},
                      {"collateral_lateral", "lateral collateral", line_colours[3]},
                      {"capsule", "capsule", line_colours[3]},
                      {"suture", "suture", line_colours[2]},
                      {"hamstrings", "hamstrings", line_colours[1]},
                      {"popliteus", "popliteus", line_colours[1]},
                      {"calcanean_share", "calcanean share", line_colours[1]},
                      {"crus_weight", "weight of the crus", grey}};
} // namespace

std::vector<DrawnForce> drawn_forces(const std::map<std::string, PosePoint> &points)
{
  const auto sagittal = [](const Vector3 &v) { return Vector3(v.x(), 0, v.z()); };
  std::vector<DrawnForce> found;
  const auto medial = points.find("contact_medial"), lateral = points.find("contact_lateral");
  if (medial != points.end() && lateral != points.end())
  {
    // Between the two places by their sizes: exact for parallel forces.
    const Vector3 &a = medial->second.force_n, &b = lateral->second.force_n;
    const double share = a.norm() + b.norm() > 0 ? b.norm() / (a.norm() + b.norm()) : 0.5;
    found.push_back(
        {sagittal((1 - share) * medial->second.at + share * lateral->second.at), sagittal(a + b), "contact", line_colours[0]});
  }
  for (const Kind &kind : kinds)
    for (const char *end : {"", "_distal"}) // a group of bundles has one entry per side of the cut
      if (const auto point = points.find(std::string(kind.point) + end); point != points.end())
        found.push_back({sagittal(point->second.at), sagittal(point->second.force_n), kind.words, kind.colour});
  return found;
}

double force_scale_n_per_mm(double largest_n)
{
  const double rough = std::max(largest_n, 1.0) / 50, power = std::pow(10.0, std::floor(std::log10(rough)));
  const double lead = rough / power;
  return (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10) * power;
}

double panel_pixels_per_mm(const JointPanel &panel)
{
  return (panel.high.y() - panel.low.y() - room_below - room_above) / (view_high_mm - view_low_mm);
}

void draw_panel(Canvas &canvas, const JointPanel &panel)
{
  const Panel draw(canvas, panel);
  draw.femur();
  draw.tibia();
  draw.soft_tissue();
  draw.forces();
  const double middle = (panel.low.x() + panel.high.x()) / 2, room = panel.high.x() - panel.low.x() - 20;
  const TextStyle bold{24, ink, AlignX::centre, AlignY::top, true}, plain{19, ink, AlignX::centre, AlignY::top};
  canvas.text({middle, panel.high.y()}, panel.heading, fitted(canvas, panel.heading, bold, room));
  double y = panel.low.y() + 96;
  for (const std::string &line : panel.lines)
  {
    canvas.text({middle, y}, line, fitted(canvas, line, plain, room));
    y -= 28;
  }
}
} // namespace stifle::viz
