// What a file's records say, before the whole file is known: long names may be explained at its end, and the
// bottom layer's number and the mask's polarity come from the majority.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "importers/ipc_d_356/record.hpp"
#include "netdb/model/board.hpp"
#include "netdb/model/diagnostics.hpp"

namespace landfall::importers::ipc_d_356 {

struct Feature {
  Record record;         // views into the file
  std::size_t line = 0;  // from 1
};

// The records in blocks, of which each goes when it has been used: a million of them are as large as the
// file.
class FeatureList {
 public:
  void push_back(const Feature& feature) {
    if (blocks_.empty() || blocks_.back().size() == kBlock) blocks_.emplace_back().reserve(kBlock);
    blocks_.back().push_back(feature);
  }
  [[nodiscard]] bool empty() const { return blocks_.empty(); }

  class Iterator {
   public:
    Iterator(const std::vector<std::vector<Feature>>& blocks, std::size_t block)
        : blocks_(&blocks), block_(block) {}
    const Feature& operator*() const { return (*blocks_)[block_][at_]; }
    Iterator& operator++() {
      if (++at_ == (*blocks_)[block_].size()) {
        at_ = 0;
        ++block_;
      }
      return *this;
    }
    friend bool operator==(const Iterator& a, const Iterator& b) {
      return a.block_ == b.block_ && a.at_ == b.at_;
    }

   private:
    const std::vector<std::vector<Feature>>* blocks_;
    std::size_t block_ = 0, at_ = 0;
  };
  [[nodiscard]] Iterator begin() const { return {blocks_, 0}; }
  [[nodiscard]] Iterator end() const { return {blocks_, blocks_.size()}; }

  // Each once, in order; what was used is given back to the system on the way.
  template <class Use>
  void use_up(Use use) {
    for (std::vector<Feature>& block : blocks_) {
      for (const Feature& feature : block) use(feature);
      block = std::vector<Feature>();
    }
    blocks_.clear();
  }

 private:
  static constexpr std::size_t kBlock = 4'096;
  std::vector<std::vector<Feature>> blocks_;  // none is empty
};

struct Conductor {
  std::string_view net;
  int layer = 0;              // from 1; 0 for an outline
  std::int64_t width = 0;     // like the points in the file's unit, each below 10 m of the finest one
  std::vector<Point> points;  // one chain
  std::size_t line = 0;
  bool outline = false;
};

struct Drafts {
  Nm unit = kNmPerTenthMil;
  bool radians = false;  // the angles, by the file's units
  bool units_stated = false;
  bool ended = false;      // a 999 was there
  bool latin_1 = false;    // the bytes are no UTF-8
  bool array_dim = false;  // KiCad's own parameter
  std::string version, writer, job, title;
  std::unordered_map<std::string, std::string> long_names;
  FeatureList features;
  std::vector<Conductor> conductors;
  std::size_t other_images = 0;
};

// A name as the bytes of the file say it, as UTF-8, control characters shown and cut to 1000 bytes.
std::string name_text(const Drafts& drafts, std::string_view raw);

// Reads every line. Never fails; what it skipped is in `log`. `kept` holds names that a tab moved: it must
// live as long as the drafts.
Drafts read_lines(std::string_view bytes, Diagnostics& log, std::deque<std::string>& kept);

// Whether a record is of a part's pin: it has reference and pin, and is neither a via nor without a part.
bool is_pin(const Record& record);

// What only the whole file tells.
enum class MaskRule { kUnknown, kNamesCovered, kNamesOpen };  // what the digits after S name, FORMATS.md 3.4
enum class Writer { kOther, kKicad, kEagle, kGeda, kAllegro, kLibrepcb };  // FORMATS.md 3.5

struct FileRules {
  Writer writer = Writer::kOther;
  int bottom = 1;       // access number of the bottom side; 1: nothing is there
  int layer_count = 2;  // copper layers, at least
  MaskRule mask = MaskRule::kUnknown;
  double degrees_per_turn = 1;  // of one unit in the R field, counter-clockwise
};
FileRules find_rules(const Drafts& drafts, Diagnostics& log);

// Whether a program made this name up, by the writer's own pattern; `net` as it stands in the file or in its
// table of long names.
bool is_made_up(Writer writer, std::string_view net);

// The board that the drafts are of. Uses up their features.
Board build_board(Drafts& drafts, Diagnostics& log);

}  // namespace landfall::importers::ipc_d_356
