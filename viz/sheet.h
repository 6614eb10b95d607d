// viz/sheet.h - what every picture says around its drawing: title, lines below it, caution at the foot
//   units  pixels of the saved picture; words that are too long shrink until they fit the width
#pragma once
#include "viz/canvas.h"

namespace stifle::viz
{
struct SheetWords
{
  std::string title;
  std::vector<std::string> lines; ///< below the title
  std::string caution;
};
constexpr double caution_room = 30; ///< free of drawing at the foot

void draw_sheet(Canvas &canvas, const SheetWords &words);
/// The caution alone, centred at the foot.
void draw_caution(Canvas &canvas, const std::string &caution);
/// Height of title and lines: drawing starts this far below the upper edge.
double sheet_head(const SheetWords &words);
/// `style` with a size, at least 12, at which the words are no wider than `room`.
TextStyle fitted(const Canvas &canvas, const std::string &words, TextStyle style, double room);
} // namespace stifle::viz
