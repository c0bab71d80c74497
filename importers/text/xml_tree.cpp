#include "importers/text/xml_tree.hpp"

#include <algorithm>
#include <array>
#include <cstring>

#include "importers/text/xml.hpp"

namespace landfall::importers {
namespace {

// What a byte may be to pugixml.
enum : std::uint8_t {
  kSpace = 1,
  kName = 2,   // goes on a name; the colon does too, but ends a prefix
  kStart = 4,  // begins a name
  kPlain = 8,  // stands in a value as it is
};

constexpr std::array<std::uint8_t, 256> kKinds = [] {
  std::array<std::uint8_t, 256> kinds{};
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    const bool letter = (i >= 'a' && i <= 'z') || (i >= 'A' && i <= 'Z') || i == '_' || i >= 128;
    const bool sign = (i >= '0' && i <= '9') || i == '-' || i == '.';
    if (i == ' ' || i == '\t' || i == '\r' || i == '\n') kinds[i] |= kSpace;
    if (letter || sign) kinds[i] |= kName;
    if (letter || i == ':') kinds[i] |= kStart;
    if (i >= 32 && i != '"' && i != '\'' && i != '&' && i != '>') kinds[i] |= kPlain;
  }
  return kinds;
}();

bool is(char c, std::uint8_t kind) {
  return (kKinds[static_cast<unsigned char>(c)] & kind) != 0;
}

// Over the indent of a line, eight blanks a step.
const char* skip_space(const char* at, const char* last) {
  constexpr std::uint64_t kBlanks = 0x2020202020202020U;
  while (is(*at, kSpace)) {
    ++at;
    std::uint64_t eight = 0;
    while (last - at >= 8 && (std::memcpy(&eight, at, 8), eight == kBlanks)) at += 8;
  }
  return at;
}

}  // namespace

// Reads what it is sure of. The text begins with '<' and its last byte is '>', at which every walk over
// blanks or names ends, so that none asks for the end of the text.
class XmlTree::PlainReader {
 public:
  PlainReader(XmlTree& tree, std::string_view bytes, std::string_view section, std::string_view parent)
      : tree_(tree),
        begin_(bytes.data()),
        last_(begin_ + bytes.size() - 1),
        section_(section),
        parent_(parent) {}

  bool run() {
    const char* at = head();
    open_.push_back({0, 0, nullptr, 0});
    while (at != nullptr && at <= last_) {
      at = skip_space(at, last_);
      if (*at != '<' || at == last_) return false;
      ++at;
      if (is(*at, kStart)) {
        at = element(at);
      } else if (*at == '/') {
        at = closing(at + 1);
      } else {
        at = comment(at);
      }
    }
    return at != nullptr && open_.size() == 1 && roots_ == 1;
  }

 private:
  struct Open {
    std::uint32_t element = 0, youngest = 0;
    const char* name = nullptr;  // with its prefix
    std::size_t name_size = 0;
  };
  struct Name {
    const char* local = nullptr;
    const char* end = nullptr;
  };

  // Behind the declaration; nullptr where it may speak of another encoding.
  const char* head() {
    const std::string_view bytes(begin_, static_cast<std::size_t>(last_ - begin_) + 1);
    if (!bytes.starts_with("<?")) return begin_;
    const auto end = bytes.find("?>");
    const std::string_view own = bytes.substr(0, end);
    if (end == std::string_view::npos || !own.starts_with("<?xml ") ||
        own.find('\0') != std::string_view::npos || own.find('<', 1) != std::string_view::npos ||
        end + 2 >= bytes.size())
      return nullptr;
    // Latin 1, the one that pugixml reads otherwise, has this digit in each of its names.
    const auto word = own.find("encoding");
    if (word != std::string_view::npos && own.find('1', word) != std::string_view::npos) return nullptr;
    return begin_ + end + 2;
  }

  // Behind "<!--", which stands behind `at`; nullptr for all else that begins with '!' or '?'.
  const char* comment(const char* at) const {
    const std::string_view rest(at, static_cast<std::size_t>(last_ - at) + 1);
    if (!rest.starts_with("!--") || rest.starts_with("!-->") || rest.starts_with("!--->")) return nullptr;
    const auto end = rest.find("-->", 3);
    if (end == std::string_view::npos || rest.substr(0, end).find('\0') != std::string_view::npos)
      return nullptr;
    return at + end + 3;
  }

  static Name name(const char* at) {
    Name own{at, at};
    for (;;) {
      while (is(*own.end, kName)) ++own.end;
      if (*own.end != ':') return own;
      own.local = ++own.end;
    }
  }

  const char* element(const char* at) {
    const Name own = name(at);
    const auto size = static_cast<std::size_t>(own.end - own.local);
    if (size > 0xFFFF) return nullptr;
    const std::string_view local(own.local, size);
    if (local == section_) {
      if (in_section_ == 0 && !stands_right()) return nullptr;
    }
    const auto index = static_cast<std::uint32_t>(tree_.elements_.size());
    Open& above = open_.back();
    if (open_.size() == 1 && ++roots_ > 1) return nullptr;
    if (above.youngest == 0) {
      tree_.elements_[above.element].has_child = true;
    } else {
      tree_.elements_[above.youngest].next = index;
    }
    above.youngest = index;
    tree_.elements_.push_back({own.local, static_cast<std::uint32_t>(at - begin_), 0,
                               static_cast<std::uint32_t>(tree_.attributes_.size()),
                               static_cast<std::uint16_t>(size), false});
    const char* next = own.end;
    for (;;) {
      const bool apart = is(*next, kSpace);
      if (apart) next = skip_space(next, last_);
      if (*next == '>') {
        if (open_.size() > kDeepestElement) return nullptr;
        open_.push_back({index, 0, at, static_cast<std::size_t>(own.end - at)});
        if (in_section_ > 0 || local == section_) ++in_section_;
        return next + 1;
      }
      if (*next == '/') return next[1] == '>' ? next + 2 : nullptr;
      if (!apart || !is(*next, kStart)) return nullptr;
      next = attribute(next);
      if (next == nullptr) return nullptr;
    }
  }

  const char* attribute(const char* at) {
    const Name own = name(at);
    at = skip_space(own.end, last_);
    if (*at != '=') return nullptr;
    at = skip_space(at + 1, last_);
    const char quote = *at;
    if (quote != '"' && quote != '\'') return nullptr;
    const char* const start = ++at;
    bool odd = false;
    for (;; ++at) {
      while (is(*at, kPlain)) ++at;
      if (*at == quote) break;
      if (*at == 0 || at == last_) return nullptr;
      odd = odd || *at == '&' || (*at == '\t' || *at == '\n' || *at == '\r');
    }
    std::string_view value(start, static_cast<std::size_t>(at - start));
    if (odd) {
      if (!undo(value, quote)) return nullptr;
      value = tree_.undone_.back();
    }
    tree_.attributes_.push_back({own.local, value.data(), static_cast<std::uint32_t>(own.end - own.local),
                                 static_cast<std::uint32_t>(value.size())});
    return at + 1;
  }

  // What pugixml makes of a value.
  bool undo(std::string_view value, char quote) {
    std::string text = "<a b=";
    ((text += quote) += value) += quote;
    text += "/>";
    pugi::xml_document document;
    if (!document.load_buffer(text.data(), text.size(), pugi::parse_default, pugi::encoding_utf8))
      return false;
    tree_.undone_.emplace_back(document.first_child().first_attribute().value());
    return true;
  }

  const char* closing(const char* at) {
    const Open& own = open_.back();
    if (open_.size() == 1 || static_cast<std::size_t>(last_ - at) < own.name_size ||
        std::memcmp(at, own.name, own.name_size) != 0)
      return nullptr;
    at = skip_space(at + own.name_size, last_);
    if (*at != '>') return nullptr;
    if (in_section_ > 0) --in_section_;
    open_.pop_back();
    return at + 1;
  }

  // Whether a section may stand here.
  [[nodiscard]] bool stands_right() const {
    if (open_.size() != 5) return false;
    const XmlElement& above = tree_.elements_[open_.back().element];
    return std::string_view(above.name, above.name_size) == parent_;
  }

  XmlTree& tree_;
  const char* begin_;
  const char* last_;
  std::string_view section_, parent_;
  std::vector<Open> open_;
  std::size_t in_section_ = 0;  // how many elements are open from the section on
  std::size_t roots_ = 0;
};

void XmlTree::clear() {
  elements_.clear();
  attributes_.clear();
  undone_.clear();
}

bool XmlTree::read_plain(std::string_view bytes, std::string_view section, std::string_view parent) {
  clear();
  while (!bytes.empty() && is(bytes.back(), kSpace)) bytes.remove_suffix(1);
  if (bytes.size() < 4 || bytes.front() != '<' || bytes.back() != '>' || bytes.size() >= UINT32_MAX)
    return false;
  // Room that is not used is never touched. What writers indent has an element in 60 bytes.
  elements_.reserve(bytes.size() / 32);
  attributes_.reserve(bytes.size() / 24);
  elements_.push_back({"", 0, 0, 0, 0, false});
  if (!PlainReader(*this, bytes, section, parent).run()) {
    clear();
    return false;
  }
  elements_.push_back({"", 0, 0, static_cast<std::uint32_t>(attributes_.size()), 0, false});
  return true;
}

pugi::xml_parse_result XmlTree::read_any(std::string_view text,
                                         const std::function<std::size_t(std::size_t)>& origin) {
  clear();
  const auto parsed = kept_.load_buffer(text.data(), text.size());
  if (!parsed) return parsed;
  const auto local = [](const char* name) {
    const std::string_view whole(name);
    const auto colon = whole.rfind(':');
    return colon == std::string_view::npos ? whole : whole.substr(colon + 1);
  };
  std::vector<std::uint32_t> above{0}, youngest{0};
  elements_.push_back({"", 0, 0, 0, 0, false});
  pugi::xml_node node = kept_.first_child();
  while (node) {
    const auto index = static_cast<std::uint32_t>(elements_.size());
    if (youngest.back() == 0) {
      elements_[above.back()].has_child = true;
    } else {
      elements_[youngest.back()].next = index;
    }
    youngest.back() = index;
    const std::string_view name = local(node.name());
    const std::ptrdiff_t offset = node.offset_debug();
    elements_.push_back(
        {name.data(), static_cast<std::uint32_t>(origin(offset < 0 ? 0 : static_cast<std::size_t>(offset))),
         0, static_cast<std::uint32_t>(attributes_.size()),
         static_cast<std::uint16_t>(std::min<std::size_t>(name.size(), 0xFFFF)), false});
    for (pugi::xml_attribute own = node.first_attribute(); own; own = own.next_attribute()) {
      const std::string_view own_name = local(own.name());
      const std::string_view value(own.value());
      attributes_.push_back({own_name.data(), value.data(), static_cast<std::uint32_t>(own_name.size()),
                             static_cast<std::uint32_t>(value.size())});
    }
    if (node.first_child()) {
      above.push_back(index);
      youngest.push_back(0);
      node = node.first_child();
      continue;
    }
    while (!node.next_sibling() && above.size() > 1) {
      node = node.parent();
      above.pop_back();
      youngest.pop_back();
    }
    node = node.next_sibling();
  }
  elements_.push_back({"", 0, 0, static_cast<std::uint32_t>(attributes_.size()), 0, false});
  return parsed;
}

}  // namespace landfall::importers
