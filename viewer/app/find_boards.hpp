// Find over all boards of a bench: their names are read once, without copper, on a thread of their own.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/store/bench.hpp"
#include "viewer/app/find.hpp"
#include "viewer/app/task.hpp"

namespace landfall::app {

// A board's names and where they stand. Not movable: the indexes point into it.
class BoardNames {
 public:
  BoardNames(store::BoardInfo info, std::vector<NameAlias> aliases, Board board)
      : info_(std::move(info)),
        aliases_(std::move(aliases)),
        board_(std::move(board)),
        index_(board_),
        find_(index_) {}
  BoardNames(const BoardNames&) = delete;
  BoardNames& operator=(const BoardNames&) = delete;
  BoardNames(BoardNames&&) = delete;
  BoardNames& operator=(BoardNames&&) = delete;
  ~BoardNames() = default;

  [[nodiscard]] const store::BoardInfo& info() const { return info_; }
  // What was accepted of names when they were read: lists are joined by them.
  [[nodiscard]] const std::vector<NameAlias>& aliases() const { return aliases_; }
  [[nodiscard]] const Board& board() const { return board_; }
  [[nodiscard]] const BoardIndex& index() const { return index_; }
  [[nodiscard]] const FindIndex& find() const { return find_; }

 private:
  store::BoardInfo info_;
  std::vector<NameAlias> aliases_;
  Board board_;
  BoardIndex index_;
  FindIndex find_;
};

// Lists joined by name, as on the open board. kNotFound when there is no such board.
Result<std::shared_ptr<const BoardNames>> read_names(store::Bench& bench, const store::BoardInfo& info);

using NamesTask = Task<std::shared_ptr<const BoardNames>>;
// A board that cannot be read, or is gone meanwhile, is passed over: opening it says why.
std::shared_ptr<NamesTask> read_all_names(std::filesystem::path bench_file,
                                          std::vector<store::BoardInfo> wanted,
                                          std::function<void()> on_change);

// A hit with what is needed to go there when its board is opened.
struct FarHit {
  std::int64_t board = 0;
  std::string board_name;
  Hit hit;
  std::string part;  // of a part, ball, function, value; of a net: that of its first pin; empty: none
  std::string pin;   // "U1.AB14", of a ball or function
};

using NamesByBoard = std::map<std::int64_t, std::shared_ptr<const BoardNames>>;
// At most `most`, best first as FindIndex has it, among equals by the boards' numbers; `without`: a board
// that is left out. `total` counts at most 5,000 a board.
std::vector<FarHit> find_on_boards(const NamesByBoard& boards, std::string_view text, std::size_t most,
                                   std::int64_t without, std::size_t& total);

}  // namespace landfall::app
