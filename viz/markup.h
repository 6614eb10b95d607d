// viz/markup.h - text for the inside of an HTML or XML element, or of an attribute in double quotes
#pragma once
#include <string>

namespace stifle::viz
{
std::string escaped_html(const std::string &text);
} // namespace stifle::viz
