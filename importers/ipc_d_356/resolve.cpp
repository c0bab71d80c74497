// The names of records become the board's parts, nets and pins.
#include <cstdlib>
#include <utility>

#include <malloc.h>

#include "importers/ipc_d_356/drafts.hpp"
#include "importers/ipc_d_356/names.hpp"

namespace landfall::importers::ipc_d_356 {
namespace {

class Resolver {
 public:
  Resolver(Drafts& drafts, Writer writer, Board& board, Diagnostics& log)
      : drafts_(drafts), most_(kFarthest / drafts.unit), names_(drafts, writer, board, log), log_(log) {}

  Resolved resolve() {
    found_.several.reserve(drafts_.pins);
    drafts_.features.each([this](Feature& feature) { take(feature); });
    drafts_.chains.each([this](Chain& chain) { take_chain(chain); });
    found_.unexplained = names_.take_unexplained();
    return std::move(found_);
  }

 private:
  // A record that cannot stand takes its continuations with it.
  void take(Feature& feature) {
    const Measures& m = feature.measures;
    const bool head = m.code >= 300;
    if (std::abs(Nm{m.x}) > most_ || std::abs(Nm{m.y}) > most_) {
      log_.warn(feature.line, 42, "place", "a place further out than 10 m: skipped");
      head_lost_ = head_lost_ || head;
      feature.measures.code = 0;
      return;
    }
    if (head) {
      head_lost_ = false;
      take_head(feature);
    } else if (head_lost_) {
      log_.warn(feature.line, 1, "continuation",
                "this continues a record that was not read: skipped with it");
      feature.measures.code = 0;
      return;
    }
    if (pin_ != kNone) note_record();
    count(feature, head);
  }

  void take_head(Feature& feature) {
    if (feature.net != kNone) feature.net = names_.net(feature.net, feature.line);
    if (feature.pin != kNone) feature.pin = names_.pin(feature.part, feature.pin, feature.net, feature.line);
    pin_ = feature.pin;
  }

  // A record of the present pin.
  void note_record() {
    if (pin_ == found_.several.size()) {
      found_.several.push_back(false);  // pins are numbered as they appear
    } else {
      found_.repeats += found_.several[pin_] ? 1U : 2U;
      found_.several[pin_] = true;
    }
  }

  // What may become of it, at most.
  void count(const Feature& feature, bool head) {
    const Measures& m = feature.measures;
    if (head) bare_hole_ = m.code == 367 || m.plating == Plating::kUnplated;
    if (bare_hole_) {
      found_.lands += 2;  // a ring on either side
      return;
    }
    const bool via = pin_ == kNone && (m.drill > 0 || feature.part == kViaName || m.code == 307);
    if (!via || !head) ++found_.lands;
    if (via || m.code == 307) ++found_.vias;
  }

  void take_chain(Chain& chain) {
    if (chain.reach > most_) {
      log_.warn(chain.line, 1, "conductor",
                "a place further out than 10 m: its two neighbours are not joined");
    }
    if (chain.net != kNone) chain.net = names_.net(chain.net, chain.line);
    if (chain.points > 1) (chain.outline ? found_.edges : found_.tracks) += chain.points - 1;
  }

  Drafts& drafts_;
  Nm most_;  // the farthest, in the file's unit
  Names names_;
  Diagnostics& log_;
  Resolved found_;
  bool head_lost_ = true;   // continuations that follow have nothing to belong to
  bool bare_hole_ = false;  // the present head is a hole without a barrel
  Index pin_ = kNone;       // of the present head
};

// The tables of a large file are a tenth of it, in pieces that the heap would keep while the board grows.
void return_memory(const Drafts& drafts) {
  constexpr std::size_t kLarge = 200'000;
  if (drafts.pins > kLarge) malloc_trim(0);
}

}  // namespace

Resolved resolve_names(Drafts& drafts, Writer writer, Board& board, Diagnostics& log) {
  Resolved found = Resolver(drafts, writer, board, log).resolve();
  for (NameTable* table : {&drafts.nets, &drafts.references, &drafts.numbers, &drafts.aliases})
    *table = NameTable();
  drafts.long_names = std::vector<std::string_view>();
  return_memory(drafts);
  return found;
}

}  // namespace landfall::importers::ipc_d_356
