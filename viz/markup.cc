#include "viz/markup.h"

namespace stifle::viz
{
std::string escaped_html(const std::string &text)
{
  std::string safe;
  for (const char c : text)
    switch (c)
    {
    case '&': safe += "&amp;"; break;
    case '<': safe += "&lt;"; break;
    case '>': safe += "&gt;"; break;
    case '"': safe += "&quot;"; break;
    case '\'': safe += "&#39;"; break;
    default: safe += c;
    }
  return safe;
}
} // namespace stifle::viz
