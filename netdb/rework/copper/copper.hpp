// A board's copper as pieces that touch: the graph in which islands are found. Built once a board; what a
// net's pieces touch is found at the first question about that net. DESIGN.md section 5, "Islands".
#pragma once

#include <memory>
#include <mutex>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "netdb/model/board.hpp"
#include "netdb/rework/copper/fill_index.hpp"
#include "netdb/rework/copper/shape.hpp"

namespace landfall::rework {

enum class CopperKind { kLand, kTrack, kArc, kVia, kFill };

struct Piece {
  CopperKind kind = CopperKind::kLand;
  Index item = kNone;  // in the board's list of that kind
  Index net = kNone;
  LayerSet layers = 0;
  Box box;
  std::vector<Shape> shapes;        // of a fill none: it has
  std::shared_ptr<FillIndex> fill;  // this
};

// Distance between the copper of two pieces that share a layer, as gap(); `enough` and `far` as FillIndex.
double piece_gap(const Piece& a, const Piece& b, double enough = -1e18, double far = kJoinSlack);

using Node = std::uint32_t;  // a piece of one net, by its place in the net's list

// One net's unmarked copper: the baseline that damage is compared with.
struct NetCopper {
  std::vector<Index> pieces;                  // into Copper::pieces
  std::vector<std::pair<Node, Node>> joints;  // which touch, a < b
  std::vector<std::uint32_t> starts;          // of `around`, one a node and one more
  std::vector<Node> around;                   // each node's neighbours
  std::vector<Node> strict;   // each node's island by its drawn copper, named by its least node
  std::vector<Node> assumed;  // nodes that an unfilled zone is taken to join
  std::vector<Node> island;   // as `strict`, with the assumed ones joined
  [[nodiscard]] std::span<const Node> neighbours(Node node) const {
    return std::span(around).subspan(starts[node], starts[node + 1] - starts[node]);
  }
};

struct DamagedNet;  // damage.cpp

class Copper {
 public:
  // Keeps a reference to the board, which must outlive it and not change. O(items).
  explicit Copper(const Board& board);
  Copper(const Copper&) = delete;
  Copper& operator=(const Copper&) = delete;
  Copper(Copper&&) = delete;
  Copper& operator=(Copper&&) = delete;
  ~Copper() = default;

  // False when the files gave no tracks, arcs or fills: then nothing can be said of islands.
  [[nodiscard]] bool known() const { return known_; }
  // Why the net's copper is not fully given ("a zone on In2.Cu is not filled"), or not followed; empty: it
  // is.
  [[nodiscard]] const std::string& doubt(Index net) const;
  // More joints than this are not followed: thousands of lands on one spot would fill memory. Its pieces are
  // then taken as one island, and doubted.
  static constexpr std::size_t kMostJoints = 4'000'000;

  [[nodiscard]] const Board& board() const { return *board_; }
  [[nodiscard]] const std::vector<Piece>& pieces() const { return pieces_; }
  [[nodiscard]] const Piece& piece(const NetCopper& net, Node node) const {
    return pieces_[net.pieces[node]];
  }

  // Safe to ask from several threads.
  [[nodiscard]] const NetCopper& net(Index net) const;

  // For state_of() in damage.hpp: the last answer about a net. Safe from several threads.
  [[nodiscard]] std::shared_ptr<const DamagedNet> last_damage(Index net) const;
  void keep_damage(Index net, std::shared_ptr<const DamagedNet> damage) const;

 private:
  void doubt_unfilled();
  void add(CopperKind kind, std::size_t item, Index net, LayerSet layers, std::vector<Shape> shapes);

  const Board* board_;
  bool known_ = false;
  std::vector<Piece> pieces_;
  std::vector<std::vector<Index>> of_net_;
  mutable std::vector<std::string> doubt_;  // of a net with many pieces: complete once it was followed
  std::vector<LayerSet> unfilled_;          // a net's layers with a zone that the file left unfilled
  mutable std::mutex mutex_;
  mutable std::vector<std::unique_ptr<NetCopper>> nets_;
  mutable std::vector<std::shared_ptr<const DamagedNet>> damages_;
};

// Disjoint sets, by size, with path halving.
class Sets {
 public:
  explicit Sets(std::size_t n) : parent_(n), size_(n, 1) {
    for (std::size_t i = 0; i < n; ++i) parent_[i] = static_cast<Node>(i);
  }
  Node root(Node a) {
    while (parent_[a] != a) a = parent_[a] = parent_[parent_[a]];
    return a;
  }
  void join(Node a, Node b) {
    a = root(a);
    b = root(b);
    if (a == b) return;
    if (size_[a] < size_[b]) std::swap(a, b);
    parent_[b] = a;
    size_[a] += size_[b];
  }

 private:
  std::vector<Node> parent_;
  std::vector<std::uint32_t> size_;
};

}  // namespace landfall::rework
