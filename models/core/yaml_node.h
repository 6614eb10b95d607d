// models/core/yaml_node.h - a YAML file as a plain tree with line and column, and checks that collect every problem
//   use     YamlReader reader(file);                                  // throws InputError: unreadable, broken YAML, ...
//           reader.check_mapping(reader.root(), "", {"walk"}, {});    // unknown, repeated and missing keys
//           if (const YamlNode *rows = reader.root().find("walk")) ... reader.number(*rows, "walk", Range{0, 1, "mm"})
//           reader.finish();                                          // throws InputError with everything found
//   rules   anchors, aliases, tags, several documents and an empty file are refused; a number is plain decimal and
//           finite (010, 0x10, .nan, "30" in quotes are not numbers); true and false are not numbers
//   limits  size, line length and depth: models/core/text_scan.h
#pragma once
#include "models/core/error.h"
#include "models/core/parameter.h"
#include <optional>
#include <string>
#include <vector>

namespace stifle
{
struct YamlNode
{
  enum class Kind { null, scalar, list, mapping };
  Kind        kind = Kind::null;
  std::string text;            ///< of a scalar
  bool        quoted = false;  ///< a quoted scalar is text, never a number
  int         line = 0, column = 0; ///< from 1; an empty value stands where its key stands
  std::vector<YamlNode> keys;  ///< of a mapping, in the order of the file, repeats included
  std::vector<YamlNode> items; ///< of a list, or the values of a mapping (same order as keys)

  const YamlNode *find(const std::string &key) const; ///< first value of that key, nullptr when absent
  std::string     excerpt() const;                    ///< short text for "found"
};

class YamlReader
{
public:
  /// Reads, scans and parses. `section` is where `stifle keys` explains the file ("" = nowhere in particular).
  explicit YamlReader(const std::string &file, const std::string &section = "");
  /// With a tree made from that of `file`.
  YamlReader(const std::string &file, YamlNode root) : file_(file), root_(std::move(root)) {}

  const std::string &file() const { return file_; }
  void set_section(const std::string &section) { section_ = section; }
  const YamlNode    &root() const { return root_; }

  /// False when `node` is no mapping. Every unknown, repeated or missing key becomes a problem. `path` is "" at the top.
  bool check_mapping(const YamlNode &node, const std::string &path, const std::vector<std::string> &known,
                     const std::vector<std::string> &required = {});
  /// False when `node` is no list or has fewer than `least` or more than `most` items.
  bool check_list(const YamlNode &node, const std::string &path, std::size_t least, std::size_t most);

  /// The value, or nothing and a problem. `default_text` ends the "allowed" line ("default 3.3").
  std::optional<double> number(const YamlNode &node, const std::string &path, const Range &range,
                               const std::string &default_text = "");
  std::optional<int> whole_number(const YamlNode &node, const std::string &path, const Range &range,
                                  const std::string &default_text = "");
  std::optional<bool> yes_or_no(const YamlNode &node, const std::string &path, const std::string &default_text = "");
  /// No choices: any text of 1 to 400 bytes without control characters.
  std::optional<std::string> word(const YamlNode &node, const std::string &path,
                                  const std::vector<std::string> &choices = {}, const std::string &default_text = "");

  static constexpr std::size_t whole = std::size_t(-1);
  /// Where the key stands: the value (or its entry `item`), else the section, else the top of the file. `section` "": a key at the top.
  const YamlNode &place(const std::string &section, const std::string &key, std::size_t item = whole) const;

  void problem(const YamlNode &at, const std::string &message, const std::string &found = "",
               const std::string &allowed = "", const std::string &nearest = "");
  /// Moves to that section first.
  void problem(const std::string &section, const YamlNode &at, const std::string &message, const std::string &found,
               const std::string &allowed, const std::string &nearest = "");
  std::vector<InputProblem> &problems() { return problems_; }
  void finish() const; ///< throws InputError when there is any problem

private:
  std::optional<double> plain_number(const YamlNode &node, const std::string &path, const std::string &allowed);

  std::string               file_, section_;
  YamlNode                  root_;
  std::vector<InputProblem> problems_;
};

/// What a key `label` may say: every Label as it is written.
std::vector<std::string> label_words();
/// "0.5 to 5 (mm)"; a range without an upper end is written "0 or more".
std::string to_string(const Range &range);
/// Shortest decimal that reads back to the same double.
std::string to_string_exact(double number);
} // namespace stifle
