#include "viz/sheet.h"

namespace stifle::viz
{
namespace
{
constexpr double title_size = 28, line_size = 19, line_step = 30, first_line = 62;
}

TextStyle fitted(const Canvas &canvas, const std::string &words, TextStyle style, double room)
{
  while (style.size > 12 && canvas.text_size(words, style).x() > room)
    style.size -= 0.5;
  return style;
}

void draw_caution(Canvas &canvas, const std::string &caution)
{
  if (caution.empty())
    return;
  const TextStyle style{14, grey, AlignX::centre, AlignY::bottom};
  canvas.text({canvas.width() / 2, 7}, caution, fitted(canvas, caution, style, canvas.width() - 30));
}

double sheet_head(const SheetWords &words) { return first_line + line_step * double(words.lines.size()); }

void draw_sheet(Canvas &canvas, const SheetWords &words)
{
  const double middle = canvas.width() / 2, room = canvas.width() - 40;
  const TextStyle title{title_size, ink, AlignX::centre, AlignY::top, true}, line{line_size, ink, AlignX::centre, AlignY::top};
  canvas.text({middle, canvas.height() - 16}, words.title, fitted(canvas, words.title, title, room));
  double y = canvas.height() - first_line;
  for (const std::string &text : words.lines)
  {
    canvas.text({middle, y}, text, fitted(canvas, text, line, room));
    y -= line_step;
  }
  draw_caution(canvas, words.caution);
}
} // namespace stifle::viz
