// Reads s-expressions as KiCad writes them (FORMATS.md 1.1), one token at a time, without a tree: lists are
// entered, their fields read in order, unknown ones skipped whole. Nothing recurses on the input.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace landfall::importers {

struct Place {
  std::size_t line = 1;
  std::size_t column = 1;  // in bytes
};

// A cursor over the text. The reader never throws; a fault (an open list at the end, a lone ')', nesting
// beyond 256, a token beyond 1 MB, an unfinished string) stops it: at_fault() then holds, every question
// answers 'nothing more', and fault_place() says where ('where the list was opened' for one never closed).
//
//   SexprReader in(text);
//   if (!in.enter("kicad_pcb")) ...
//   while (auto field = in.next()) {            // fields of the present list
//     if (field.list()) {                        // "(" NAME was read; the cursor is inside
//       if (field.text == "net") read_net(in);   // must end with in.leave()
//       else in.leave();                         // skips the rest of that list
//     } else use(field.text, field.quoted);
//   }
class SexprReader {
 public:
  explicit SexprReader(std::string_view text);

  enum class Kind { kEnd, kAtom, kList };

  struct Field {
    Kind kind = Kind::kEnd;
    std::string_view text;  // the atom, escapes undone; of a list its first word. Valid until the next call
    bool quoted = false;    // an atom in quotes
    std::size_t offset = 0;
    explicit operator bool() const { return kind != Kind::kEnd; }
    [[nodiscard]] bool atom() const { return kind == Kind::kAtom; }
    [[nodiscard]] bool list() const { return kind == Kind::kList; }
    [[nodiscard]] bool list(std::string_view name) const { return kind == Kind::kList && text == name; }
  };

  // Reads the file's only list up to its first word; false if it is another, or a fault.
  bool enter(std::string_view name);

  // The next field of the present list. A list field is entered. kEnd when the list is closed (the ')' is
  // consumed, the cursor is back in the list around it) or at a fault.
  Field next();

  // The next field as an atom; kEnd (and nothing consumed) when a list or the end follows.
  Field atom();

  // Skips what is left of the present list and closes it.
  void leave();

  // Where something other than blanks follows the file's list, once that is read to its end: lists that close
  // too early leave the rest of a file outside. Nothing when nothing does.
  [[nodiscard]] std::optional<std::size_t> text_after() const;

  // Where the first quote stood that neither begins nor ends a word: one may be missing, and what two quotes
  // then enclose is not what was meant.
  [[nodiscard]] std::optional<std::size_t> stray_quote() const { return stray_quote_; }

  [[nodiscard]] bool at_fault() const { return !fault_.empty(); }
  [[nodiscard]] const std::string& fault() const { return fault_; }
  [[nodiscard]] Place fault_place() const { return place_of(fault_offset_); }

  // Line and column of an offset. O(bytes since the last question) for rising offsets.
  [[nodiscard]] Place place_of(std::size_t offset) const;
  // The offset of the present list's '('.
  [[nodiscard]] std::size_t list_offset() const;
  [[nodiscard]] std::size_t depth() const { return depth_; }

 private:
  static constexpr std::size_t kMostDepth = 256;
  static constexpr std::size_t kMostToken = 1U << 20U;

  void skip_blanks();
  Field read_atom();
  Field read_quoted();
  void check_quote(std::size_t offset, std::size_t neighbour);
  void fail(std::string what, std::size_t offset);

  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t depth_ = 0;
  std::size_t opened_[kMostDepth + 1] = {};  // NOLINT(modernize-avoid-c-arrays): hot, and plain
  std::string buffer_;                       // an atom whose escapes were undone
  std::string fault_;
  std::size_t fault_offset_ = 0;
  std::optional<std::size_t> stray_quote_;
  mutable std::size_t known_offset_ = 0;
  mutable Place known_place_;
};

}  // namespace landfall::importers
