// One physical board on the bench: which parts are lifted, what was seen at their sites.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/units.hpp"

namespace landfall {

// The digit of a kind is its key and, from 0 to 5, the depth of the damage. DESIGN.md section 5.
enum class MarkKind { kSound = 0, kMask = 1, kLoose = 2, kMissing = 3, kTorn = 4, kBarrel = 5, kChip = 6 };
inline constexpr int kMarkKinds = 7;

// "sound", "mask", "loose", "missing", "torn", "barrel", "chip".
std::string_view word(MarkKind kind);
std::optional<MarkKind> mark_kind(std::string_view word);

// True when the kind takes copper of the board away (missing, torn, barrel).
bool takes_copper(MarkKind kind);

struct Mark {
  std::string part;  // reference
  std::string ball;  // pin number as the file wrote it
  MarkKind kind = MarkKind::kSound;
  std::string note;
  bool via_good = false;      // 'via is good': a barrel mark takes no via
  std::string only_toward{};  // only the trace that leaves that way is torn: "n", "ne", "e" ... seen from the
                              // top; empty: all of them
  bool spared = false;        // the board can do without it, by a fact of kind kSpared
  friend bool operator==(const Mark&, const Mark&) = default;
};

// What the technician measured or read; it outranks what files say. Ends are PART.PIN.
enum class FactKind {
  kJoined,   // `a` beeps to `b`
  kOpen,     // `a` does not reach `b`; with no `b`: nothing of its net
  kNamed,    // `a` is on the net `name`
  kViaGood,  // the via at the marked site `a` holds: a barrel mark takes none
  kToward,   // only the trace that leaves `a` toward `name` ("n", "ne" ...) is torn
  kBanned,   // nothing within `reach` of `place` is a landing
  kAdded,    // `place` is a landing of `a`'s net, called `name`
  kSpared,   // the board can do without what `a` carries: nothing is done for it
};
std::string_view word(FactKind kind);

struct Fact {
  std::int64_t id = 0;
  FactKind kind = FactKind::kJoined;
  std::string a, b, name;
  Point place;          // on the board, of a banned or added landing
  Nm reach = 0;         // of a ban
  std::string created;  // UTC, ISO 8601
  friend bool operator==(const Fact&, const Fact&) = default;
};

// What came of one piece of work, or of the whole job. `kind`: the chance that it tells about, by the
// verdict's word ("to a via", "a land rebuilt", "the base process").
struct Outcome {
  std::int64_t id = 0;
  std::int64_t job = 0;
  std::string kind;
  std::string site;  // PART.BALL of a wire's near end or a rebuild; empty for the job
  Point place;       // of a wire's far end
  bool worked = false;
  bool withdrawn = false;  // the word on this piece before it is taken back; `worked` says which
  std::string note;
  std::string at;  // UTC, ISO 8601
  friend bool operator==(const Outcome&, const Outcome&) = default;
};

// A number of a job's plan that was given out, on a sheet or with an outcome: from then on it is its site's.
struct KeptNumber {
  int number = 0;
  std::string site;  // near end of a wire, site of a rebuild, as the plan writes it
  std::string net;
  bool rebuild = false;
  friend bool operator==(const KeptNumber&, const KeptNumber&) = default;
};

// Asked once a job; a safety-critical board is referred to its maker's authorised repair (TRADE.md T45).
enum class SafetyAnswer { kNotAsked, kNo, kYes };
std::string_view word(SafetyAnswer answer);

struct Job {
  std::int64_t id = 0;
  std::int64_t board = 0;
  std::string title;
  std::vector<std::string> lifted;  // references, at least one
  SafetyAnswer safety_critical = SafetyAnswer::kNotAsked;
  bool closed = false;
  std::string created;      // UTC, ISO 8601
  std::string kept;         // UTC, when the last gesture was kept
  std::vector<Fact> facts;  // those that stand, oldest first
  std::vector<Mark> marks;  // sorted by part, then ball in natural order
  friend bool operator==(const Job&, const Job&) = default;
};

}  // namespace landfall
