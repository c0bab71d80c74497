// The tree of an XML file as a reader walks it: elements in the file's order with names and values that point
// into the text, 24 bytes an element and an attribute. pugixml says what is XML and what it means; text that
// needs nothing undone (nearly all that programs write) is read without it, with the same tree.
#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include <pugixml.hpp>

namespace landfall::importers {

class XmlTree;

struct XmlAttribute {
  const char* name_start = nullptr;
  const char* value_start = nullptr;
  std::uint32_t name_size = 0, value_size = 0;
  [[nodiscard]] std::string_view name() const { return {name_start, name_size}; }  // without prefix
  [[nodiscard]] std::string_view value() const { return {value_start, value_size}; }
};

struct XmlElement {
  const char* name = nullptr;    // without prefix; none of text
  std::uint32_t offset = 0;      // in the bytes of the file, behind the '<'
  std::uint32_t next = 0;        // the next of the same parent; 0: none
  std::uint32_t attributes = 0;  // the first; they end where the next element's begin
  std::uint16_t name_size = 0;
  bool has_child = false;  // which is then the next of all
};

// One element, or none. As small as a view: by value.
class XmlNode {
 public:
  XmlNode() = default;
  explicit operator bool() const { return own_ != nullptr; }
  [[nodiscard]] std::string_view name() const {
    return own_ == nullptr ? std::string_view() : std::string_view(own_->name, own_->name_size);
  }
  [[nodiscard]] std::size_t offset() const { return own_ == nullptr ? 0 : own_->offset; }
  [[nodiscard]] XmlNode first_child() const {
    return own_ == nullptr || !own_->has_child ? XmlNode() : XmlNode(*tree_, own_ + 1);
  }
  [[nodiscard]] inline XmlNode next_sibling() const;
  [[nodiscard]] inline const XmlAttribute* attributes_begin() const;
  [[nodiscard]] inline const XmlAttribute* attributes_end() const;

  class Iterator {
   public:
    explicit Iterator(const XmlElement* own, const XmlTree* tree) : own_(own), tree_(tree) {}
    XmlNode operator*() const { return {*tree_, own_}; }
    Iterator& operator++() {
      own_ = XmlNode(*tree_, own_).next_sibling().own_;
      return *this;
    }
    friend bool operator==(const Iterator&, const Iterator&) = default;

   private:
    const XmlElement* own_;
    const XmlTree* tree_;
  };
  struct Children {
    Iterator first, last;
    [[nodiscard]] Iterator begin() const { return first; }
    [[nodiscard]] Iterator end() const { return last; }
  };
  [[nodiscard]] Children children() const {
    return {Iterator(first_child().own_, tree_), Iterator(nullptr, tree_)};
  }

 private:
  friend class XmlTree;
  XmlNode(const XmlTree& tree, const XmlElement* own) : tree_(&tree), own_(own) {}
  const XmlTree* tree_ = nullptr;
  const XmlElement* own_ = nullptr;
};

class XmlTree {
 public:
  // The tree of plain text, which must outlive it: UTF-8 without a mark, one root, no entities but in values,
  // no text between the tags, no more than kDeepestElement deep, elements named `section` only as children of
  // a `parent` that is the fourth from the outside, or within one another. False, and nothing read, for all
  // else, be it XML or not. O(bytes).
  bool read_plain(std::string_view bytes, std::string_view section, std::string_view parent);

  // Any text, by pugixml; `origin` tells an offset's place in the bytes of the file. O(text).
  pugi::xml_parse_result read_any(std::string_view text,
                                  const std::function<std::size_t(std::size_t)>& origin);

  // What holds the root element.
  [[nodiscard]] XmlNode document() const {
    return elements_.empty() ? XmlNode() : XmlNode(*this, elements_.data());
  }

 private:
  friend class XmlNode;
  class PlainReader;
  void clear();

  std::vector<XmlElement> elements_;  // the document, then all in the file's order, then an end
  std::vector<XmlAttribute> attributes_;
  std::deque<std::string> undone_;  // values that do not stand in the text as they are
  pugi::xml_document kept_;         // where names and values of any text stand
};

inline XmlNode XmlNode::next_sibling() const {
  return own_ == nullptr || own_->next == 0 ? XmlNode() : XmlNode(*tree_, &tree_->elements_[own_->next]);
}
inline const XmlAttribute* XmlNode::attributes_begin() const {
  return own_ == nullptr ? nullptr : tree_->attributes_.data() + own_->attributes;
}
inline const XmlAttribute* XmlNode::attributes_end() const {
  return own_ == nullptr ? nullptr : tree_->attributes_.data() + (own_ + 1)->attributes;
}

// "Pad" of "ipc:Pad".
inline std::string_view local_name(const XmlNode& node) {
  return node.name();
}

// The first child element of this local name, or a null node.
inline XmlNode child_named(const XmlNode& node, std::string_view name) {
  for (XmlNode child = node.first_child(); child; child = child.next_sibling()) {
    if (child.name() == name) return child;
  }
  return {};
}

// The value of the attribute of this local name; empty when it is missing.
inline std::string_view attribute(const XmlNode& node, std::string_view name) {
  for (const auto* own = node.attributes_begin(); own != node.attributes_end(); ++own) {
    if (own->name() == name) return own->value();
  }
  return {};
}

}  // namespace landfall::importers
