// An XML netlist's list of nets, which is nearly all of a large file, apart from the rest of it: so that it
// is parsed piece by piece, and neither the tree of the whole file nor a second copy of it is ever in memory.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace landfall::importers {

struct NetsApart {
  std::string rest;       // the file with nothing between <nets> and </nets>
  std::size_t begin = 0;  // of what stands between them, in the file
  std::size_t end = 0;

  // Where `<nets>` stands in `rest`, by the parser's count: of the name, behind the bracket.
  [[nodiscard]] std::ptrdiff_t tag_in_rest() const;
  // The offset in the file of an offset in `rest`.
  [[nodiscard]] std::size_t origin(std::size_t rest_offset) const {
    return rest_offset < begin ? rest_offset : rest_offset + (end - begin);
  }
  struct Piece {
    std::string_view text;
    bool ends_in_net = false;  // its end seems to lie between two nodes of a net
  };
  // From `at` some 64 KiB of the file, to behind a `</net>` or before a `<node`; else what is left.
  [[nodiscard]] Piece piece(std::string_view bytes, std::size_t at) const;
};

// By a look for the words alone: a comment or a value that holds them may mislead it. So a reader must find
// that `rest` is well formed and has its list of nets there, and that each piece is well formed by itself
// within the elements that it seems to begin and end in; then the cuts were right, since a parser that came
// so far in the whole file would have stood between two nets, or two nodes, at each of them. Nothing when
// there are no such words. O(bytes).
std::optional<NetsApart> nets_apart(std::string_view bytes);

}  // namespace landfall::importers
