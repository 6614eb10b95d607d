#include "models/core/read_yaml_tree.h"
#include "models/core/files.h"
#include "models/core/text_scan.h"
#include <filesystem>
#include <sstream>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/yaml.h>

namespace stifle
{
namespace
{
[[noreturn]] void refuse(const std::string &file, int line, int column, const std::string &message,
                         const std::string &found = "", const std::string &allowed = "")
{
  throw InputError({InputProblem{file, line, column, message, found, allowed, "", ""}});
}

/// Builds the tree from parser events: they still show anchors, tags and repeated keys, which YAML::Node hides.
class TreeBuilder : public YAML::EventHandler
{
public:
  explicit TreeBuilder(const std::string &file) : file_(file) {}
  YamlNode root;

  void OnDocumentStart(const YAML::Mark &) override {}
  void OnDocumentEnd() override {}
  void OnNull(const YAML::Mark &mark, YAML::anchor_t anchor) override
  {
    refuse_anchor(mark, anchor);
    add(make(mark, YamlNode::Kind::null));
  }
  void OnAlias(const YAML::Mark &mark, YAML::anchor_t) override
  {
    refuse(file_, mark.line + 1, mark.column + 1, "aliases (*name) are not allowed", "", "the value itself");
  }
  void OnScalar(const YAML::Mark &mark, const std::string &tag, YAML::anchor_t anchor, const std::string &value) override
  {
    refuse_anchor(mark, anchor);
    refuse_tag(mark, tag);
    YamlNode node = make(mark, YamlNode::Kind::scalar);
    node.text     = value;
    node.quoted   = tag == "!";
    add(std::move(node));
  }
  void OnSequenceStart(const YAML::Mark &mark, const std::string &tag, YAML::anchor_t anchor, YAML::EmitterStyle::value) override
  {
    open(mark, tag, anchor, YamlNode::Kind::list);
  }
  void OnSequenceEnd() override { close(); }
  void OnMapStart(const YAML::Mark &mark, const std::string &tag, YAML::anchor_t anchor, YAML::EmitterStyle::value) override
  {
    open(mark, tag, anchor, YamlNode::Kind::mapping);
  }
  void OnMapEnd() override { close(); }

private:
  static YamlNode make(const YAML::Mark &mark, YamlNode::Kind kind)
  {
    YamlNode node;
    node.kind   = kind;
    node.line   = mark.line + 1;
    node.column = mark.column + 1;
    return node;
  }
  void refuse_anchor(const YAML::Mark &mark, YAML::anchor_t anchor) const
  {
    if (anchor != 0)
      refuse(file_, mark.line + 1, mark.column + 1, "anchors (&name) are not allowed", "", "the value itself");
  }
  void refuse_tag(const YAML::Mark &mark, const std::string &tag) const
  {
    if (!tag.empty() && tag != "?" && tag != "!")
      refuse(file_, mark.line + 1, mark.column + 1, "tags (!name) are not allowed", tag, "the value itself");
  }
  void open(const YAML::Mark &mark, const std::string &tag, YAML::anchor_t anchor, YamlNode::Kind kind)
  {
    refuse_anchor(mark, anchor);
    refuse_tag(mark, tag);
    stack_.push_back(make(mark, kind));
  }
  void close()
  {
    YamlNode node = std::move(stack_.back());
    stack_.pop_back();
    add(std::move(node));
  }
  void add(YamlNode node)
  {
    if (stack_.empty())
    {
      root = std::move(node);
      return;
    }
    YamlNode &parent = stack_.back();
    if (parent.kind == YamlNode::Kind::mapping && parent.keys.size() == parent.items.size())
    {
      parent.keys.push_back(std::move(node));
      return;
    }
    if (node.kind == YamlNode::Kind::null && parent.kind == YamlNode::Kind::mapping && node.line != parent.keys.back().line)
    {
      // The parser marks an empty value at the next token, often lines below.
      node.line   = parent.keys.back().line;
      node.column = parent.keys.back().column;
    }
    parent.items.push_back(std::move(node));
  }

  std::string           file_;
  std::vector<YamlNode> stack_;
};
} // namespace

YamlNode parse_yaml_tree(const std::string &file, const std::string &content)
{
  if (const auto problem = scan_text(file, content))
    throw InputError({*problem});
  std::istringstream stream(content);
  TreeBuilder        builder(file);
  try
  {
    YAML::Parser parser(stream);
    if (!parser.HandleNextDocument(builder) || (builder.root.kind == YamlNode::Kind::null))
      refuse(file, 0, 0, "the file is empty", "nothing but blank lines and comments", "a mapping of keys");
    const YamlNode first = builder.root;
    if (parser.HandleNextDocument(builder))
      refuse(file, builder.root.line, builder.root.column, "the file holds more than one YAML document", "", "one document");
    return first;
  }
  catch (const YAML::Exception &error)
  {
    const bool known = !error.mark.is_null();
    refuse(file, known ? error.mark.line + 1 : 0, known ? error.mark.column + 1 : 0, "broken YAML: " + error.msg);
  }
}

YamlNode read_yaml_tree(const std::string &file)
{
  std::error_code      error; // whatever is wrong with the file itself, read_file says it
  const std::uintmax_t bytes = std::filesystem::file_size(file, error);
  if (const auto problem = error ? std::nullopt : check_size(file, bytes))
    throw InputError({*problem});
  return parse_yaml_tree(file, read_file(file));
}
} // namespace stifle
