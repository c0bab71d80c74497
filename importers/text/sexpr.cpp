#include "importers/text/sexpr.hpp"

#include <algorithm>
#include <cstring>

namespace landfall::importers {
namespace {

bool is_blank(char c) {
  return c == ' ' || c == '\n' || c == '\t' || c == '\r' || c == '\f' || c == '\v';
}
bool ends_word(char c) {
  return is_blank(c) || c == '(' || c == ')';
}

int hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

// Undoes one escape whose backslash stood before text[at]; advances `at` past it.
char undo_escape(std::string_view text, std::size_t& at) {
  const char c = text[at++];
  switch (c) {
    case 'n':
      return '\n';
    case 'r':
      return '\r';
    case 't':
      return '\t';
    case 'x': {
      int value = 0;
      int digits = 0;
      while (digits < 2 && at < text.size() && hex_digit(text[at]) >= 0) {
        value = value * 16 + hex_digit(text[at++]);
        ++digits;
      }
      return digits == 0 ? 'x' : static_cast<char>(value);
    }
    default:
      break;
  }
  if (c < '0' || c > '7') return c;
  int value = c - '0';
  for (int digits = 1; digits < 3 && at < text.size() && text[at] >= '0' && text[at] <= '7'; ++digits) {
    value = value * 8 + (text[at++] - '0');
  }
  return static_cast<char>(value);
}

}  // namespace

SexprReader::SexprReader(std::string_view text) : text_(text) {
  if (text_.starts_with("\xEF\xBB\xBF")) at_ = 3;
}

void SexprReader::skip_blanks() {
  while (at_ < text_.size() && is_blank(text_[at_])) ++at_;
}

void SexprReader::fail(std::string what, std::size_t offset) {
  if (at_fault()) return;
  fault_ = std::move(what);
  fault_offset_ = offset;
  at_ = text_.size();
}

bool SexprReader::enter(std::string_view name) {
  const Field field = next();
  return field.list(name);
}

SexprReader::Field SexprReader::next() {
  skip_blanks();
  if (at_ >= text_.size()) {
    if (depth_ > 0) fail("this list is never closed: the file may be cut off", opened_[depth_ - 1]);
    return {};
  }
  const std::size_t offset = at_;
  const char c = text_[at_];
  if (c == ')') {
    if (depth_ == 0) {
      fail("a ')' without a list", offset);
      return {};
    }
    ++at_;
    --depth_;
    return {};
  }
  if (c != '(') return read_atom();
  if (depth_ == kMostDepth) {
    fail("lists are nested more than 256 deep", offset);
    return {};
  }
  ++at_;
  opened_[depth_++] = offset;
  skip_blanks();
  Field field{Kind::kList, {}, false, offset};
  if (at_ < text_.size() && text_[at_] != '(' && text_[at_] != ')') field.text = read_atom().text;
  if (at_fault()) return {};
  return field;
}

SexprReader::Field SexprReader::atom() {
  skip_blanks();
  if (at_ >= text_.size() || text_[at_] == '(' || text_[at_] == ')') return {};
  return read_atom();
}

SexprReader::Field SexprReader::read_atom() {
  if (text_[at_] == '"') return read_quoted();
  const std::size_t offset = at_;
  while (at_ < text_.size() && !ends_word(text_[at_])) {
    if (text_[at_] == '"' && !stray_quote_) stray_quote_ = at_;
    ++at_;
  }
  if (at_ - offset > kMostToken) {
    fail("a word of more than 1 MB", offset);
    return {};
  }
  return {Kind::kAtom, text_.substr(offset, at_ - offset), false, offset};
}

void SexprReader::check_quote(std::size_t offset, std::size_t neighbour) {
  if (neighbour < text_.size() && !ends_word(text_[neighbour]) && !stray_quote_) stray_quote_ = offset;
}

SexprReader::Field SexprReader::read_quoted() {
  const std::size_t offset = at_++;
  check_quote(offset, offset - 1);  // of a quote at the very beginning that is no place, and passes
  const std::size_t start = at_;
  const std::size_t stop = text_.find_first_of("\"\\", at_);
  if (stop != std::string_view::npos && text_[stop] == '"') {  // nothing to undo, the usual case
    at_ = stop + 1;
    check_quote(stop, at_);
    if (stop - start > kMostToken) {
      fail("a word of more than 1 MB", offset);
      return {};
    }
    return {Kind::kAtom, text_.substr(start, stop - start), true, offset};
  }
  buffer_.clear();
  while (at_ < text_.size() && text_[at_] != '"' && buffer_.size() <= kMostToken) {
    const char c = text_[at_++];
    if (c != '\\') {
      buffer_ += c;
    } else if (at_ < text_.size()) {
      buffer_ += undo_escape(text_, at_);
    }
  }
  if (buffer_.size() > kMostToken) {
    fail("a word of more than 1 MB", offset);
    return {};
  }
  if (at_ >= text_.size()) {
    fail("this text has no closing quote", offset);
    return {};
  }
  check_quote(at_, at_ + 1);
  ++at_;
  return {Kind::kAtom, buffer_, true, offset};
}

void SexprReader::leave() {
  if (depth_ == 0) return;
  const std::size_t goal = depth_ - 1;
  // Only quotes and parentheses matter here: this is the hot loop of what is skipped.
  while (at_ < text_.size() && depth_ > goal) {
    const char c = text_[at_];
    if (c == '"') {
      if (read_quoted().kind == Kind::kEnd) return;
      continue;
    }
    if (c == '(') {
      if (depth_ == kMostDepth) {
        fail("lists are nested more than 256 deep", at_);
        return;
      }
      opened_[depth_++] = at_;
    } else if (c == ')') {
      --depth_;
    }
    ++at_;
  }
  if (depth_ > goal) fail("this list is never closed: the file may be cut off", opened_[depth_ - 1]);
}

std::optional<std::size_t> SexprReader::text_after() const {
  std::size_t at = at_;
  while (at < text_.size() && is_blank(text_[at])) ++at;
  return depth_ > 0 || at == text_.size() ? std::nullopt : std::optional<std::size_t>(at);
}

std::size_t SexprReader::list_offset() const {
  return depth_ == 0 ? 0 : opened_[depth_ - 1];
}

Place SexprReader::place_of(std::size_t offset) const {
  offset = std::min(offset, text_.size());
  if (offset < known_offset_) {
    known_offset_ = 0;
    known_place_ = {};
  }
  Place place = known_place_;
  std::size_t line_start = known_offset_ - (known_place_.column - 1);
  for (std::size_t at = known_offset_; at < offset; ++at) {
    const bool cr_alone = text_[at] == '\r' && (at + 1 == text_.size() || text_[at + 1] != '\n');
    if (text_[at] != '\n' && !cr_alone) continue;
    ++place.line;
    line_start = at + 1;
  }
  place.column = offset - line_start + 1;
  known_offset_ = offset;
  known_place_ = place;
  return place;
}

}  // namespace landfall::importers
