// viz/report_page.h - DIR/report.html: the results files of a folder in one page that opens from disk without a network
//   reads    results files only: tables, summary.json, scenario.yaml, fields/*.vtu and their pictures/*.png. A table the folder lacks is left
//            out, and the page says what it does not show
//   page     viz/page (skeleton, style, scripts), bundled when stifle is built; data as gzip in base64, text of a scenario as text
//   errors   Error when the page was not built or a file cannot be read or written
#pragma once
#include "viz/markup.h"
#include <string>
#include <vector>

namespace stifle::viz
{
struct PageState ///< one field file
{
  std::string path; ///< relative to the folder
  std::string words; ///< what the state is
  double target_deg = 0, week = 0, percent = 0;
  bool operated = false;
  std::string activity;
};

struct ReportPage
{
  std::string folder;
  std::string title, caution;
  std::string facts; ///< JSON: what was asked, and outlines for the drawing of the joint
  std::vector<PageState> states;
  std::string checks; ///< validate table shown when the folder has no validate.csv of its own; empty: none.
};

/// Writes FOLDER/report.html; returns its size in bytes.
std::size_t write_report_page(const ReportPage &page);

/// gzip, then base64: what DecompressionStream('gzip') of a browser opens. Throws Error.
std::string gzip_base64(const std::string &bytes);
} // namespace stifle::viz
