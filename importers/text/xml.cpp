#include "importers/text/xml.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace landfall::importers {
namespace {

std::string_view without_prefix(std::string_view name) {
  const auto colon = name.rfind(':');
  return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

// Sign by sign: the library's search for one of several asks a function of each sign.
std::string_view tag_name(std::string_view after_bracket) {
  std::size_t end = 0;
  while (end < after_bracket.size()) {
    const char c = after_bracket[end];
    if (c == ' ' || c == '\t' || c == '\r' || c == '\n' || c == '/' || c == '>') break;
    ++end;
  }
  return after_bracket.substr(0, end);
}

// The offset behind the tag that starts at `at`: the next '>' outside quotes.
std::size_t tag_end(std::string_view bytes, std::size_t at) {
  // Nearly every tag ends at its first '>': quotes come in pairs before it. Both looks are many bytes a step.
  const auto first = bytes.find('>', at);
  if (first == std::string_view::npos) return bytes.size();
  const auto tag = bytes.substr(at, first - at);
  const auto doubles = std::count(tag.begin(), tag.end(), '"');
  if (doubles % 2 == 0 && tag.find('\'') == std::string_view::npos) return first + 1;
  char quote = 0;
  for (std::size_t i = at; i < bytes.size(); ++i) {
    const char c = bytes[i];
    if (quote != 0) {
      if (c == quote) quote = 0;
    } else if (c == '"' || c == '\'') {
      quote = c;
    } else if (c == '>') {
      return i + 1;
    }
  }
  return bytes.size();
}

// Behind a comment, a CDATA section, a declaration; 0 when `at` is none of them.
std::size_t special_end(std::string_view bytes, std::size_t at) {
  const std::string_view rest = bytes.substr(at);
  if (rest.size() < 2 || (rest[1] != '!' && rest[1] != '?')) return 0;
  const auto behind = [&](std::string_view mark) {
    const auto found = bytes.find(mark, at);
    return found == std::string_view::npos ? bytes.size() : found + mark.size();
  };
  if (rest.starts_with("<!--")) return behind("-->");
  if (rest.starts_with("<![CDATA[")) return behind("]]>");
  if (rest.starts_with("<?")) return behind("?>");
  if (rest.starts_with("<!")) return behind(">");
  return 0;
}

}  // namespace

Place text_place(std::string_view bytes, std::size_t offset) {
  const std::string_view before = bytes.substr(0, std::min(offset, bytes.size()));
  const auto lines = static_cast<std::size_t>(std::count(before.begin(), before.end(), '\n'));
  const auto last = before.rfind('\n');
  return {lines + 1, last == std::string_view::npos ? before.size() + 1 : before.size() - last};
}

std::string_view root_element(std::string_view bytes) {
  const std::string_view head = bytes.substr(0, 65536);
  std::size_t at = head.find('<');
  while (at != std::string_view::npos) {
    const std::size_t end = special_end(head, at);
    if (end == 0) return without_prefix(tag_name(head.substr(at + 1)));
    at = head.find('<', end);
  }
  return {};
}

std::string fault_text(std::string_view bytes, std::string_view fault) {
  const auto last = bytes.find_last_not_of(" \t\r\n");
  const std::string_view text = bytes.substr(0, last == std::string_view::npos ? 0 : last + 1);
  const auto tag = text.rfind("</");
  const bool ends = text.ends_with('>') && tag != std::string_view::npos &&
                    without_prefix(tag_name(text.substr(tag + 2))) == root_element(bytes);
  return ends ? std::string(fault) : fmt::format("the file is cut off ({})", fault);
}

std::size_t XmlSections::origin(std::size_t rest_offset) const {
  auto after = std::upper_bound(offsets.begin(), offsets.end(), rest_offset,
                                [](std::size_t value, const auto& entry) { return value < entry.first; });
  if (after == offsets.begin()) return rest_offset;
  --after;
  return after->second + (rest_offset - after->first);
}

XmlSections split_sections(std::string_view bytes, std::string_view name) {
  XmlSections split;
  split.offsets.emplace_back(0, 0);
  std::size_t depth = 0;
  std::size_t copied = 0;  // all before is in `rest` or a section
  std::size_t start = 0;   // of the open section
  std::size_t inside = 0;  // depth within the open section
  std::size_t at = bytes.find('<');
  const auto close = [&](std::size_t end) {
    split.rest.append(bytes.substr(copied, start - copied));
    split.rest += fmt::format("<{} n=\"{}\"/>", name, split.sections.size());
    split.sections.push_back(bytes.substr(start, end - start));
    copied = end;
    split.offsets.emplace_back(split.rest.size(), end);
  };
  while (at != std::string_view::npos && split.too_deep == std::string_view::npos) {
    if (const std::size_t end = special_end(bytes, at); end != 0) {
      if (bytes.substr(at).starts_with("<!DOCTYPE")) split.doctype = at;
      at = bytes.find('<', end);
      continue;
    }
    const std::size_t end = tag_end(bytes, at);
    const bool closing = at + 1 < bytes.size() && bytes[at + 1] == '/';
    const std::string_view own = without_prefix(tag_name(bytes.substr(at + (closing ? 2 : 1))));
    if (closing) {
      if (depth > 0) --depth;
      if (inside > 0 && own == name && --inside == 0) close(end);
    } else {
      const bool empty = end >= 2 && bytes[end - 2] == '/';
      if (own == name && (inside > 0 || !empty)) {
        if (inside == 0) start = at;
        if (!empty) ++inside;
      } else if (own == name) {
        start = at;
        close(end);
      }
      if (!empty && ++depth > kDeepestElement) split.too_deep = at;
    }
    at = bytes.find('<', end);
  }
  split.rest.append(bytes.substr(copied));
  return split;
}

}  // namespace landfall::importers
