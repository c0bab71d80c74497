// What each net is for, and from what evidence: the answer of netdb/signals.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "netdb/model/board.hpp"

namespace landfall {

enum class SignalClass {
  kPower,
  kGround,
  kClock,
  kStrobe,
  kData,
  kMask,
  kAddress,
  kCommand,
  kControl,
  kDifferential,
  kAnalogue,
  kUnconnected,
  kUnknown,
};
inline constexpr std::size_t kSignalClasses = 13;

// "power" ... "unknown", the words of DESIGN.md section 2.
std::string_view word(SignalClass c);
std::optional<SignalClass> signal_class(std::string_view word);
inline bool is_supply(SignalClass c) {
  return c == SignalClass::kPower || c == SignalClass::kGround;
}

struct Evidence {
  std::string says;    // what it makes of the net: "data of RAM1, lane 0"
  std::string source;  // from what: "U3.E3 is DQ0 by the standard 96-ball DDR3 map (JESD79-3)"
};

// A line that stands still while the interface runs, so that a wire's delay does it no harm.
enum class Steady {
  kNo,
  kReference,    // a reference voltage or a bias: VREFCA, AREF, REXT
  kCalibration,  // a resistor that a part measures itself by: a memory's ZQ
  kTermination   // the middle between the two terminating resistors of a pair
};

// One net's answer. Group fields are indices into Signals' lists, kNone when there is none.
struct NetSignal {
  SignalClass signal_class = SignalClass::kUnknown;
  Index bus = kNone;
  Index lane = kNone;
  Index channel = kNone;
  std::vector<Index> shared_with;  // further channels that need this net (one reset for two)
  std::vector<Evidence> why;       // strongest first
  Steady steady = Steady::kNo;
};

// A pin that carries nothing on this board, though its net is wired: an address that its memory is too small
// for. `sure` where the memory's size or its own pin says so; else it depends on what is fitted.
struct IdlePin {
  Index pin = kNone;
  bool sure = false;
  std::string why;  // one sentence
};

// What an interface is, which decides how a loss inside it counts.
enum class InterfaceKind { kMemory, kLink, kBus };

struct Bus {  // nets grouped by index: "RAM0 data", "RAM0 address"
  std::string name;
  Index channel = kNone;
};

struct Lane {
  std::string name;  // unique on the board: "RAM0 lane 1"
  Index channel = kNone;
};

struct Channel {
  std::string name;  // unique on the board: "RAM0", "USB1"
  std::string what;  // "DDR3 memory, 32 data lines", "USB pair"
  InterfaceKind kind = InterfaceKind::kBus;
  bool carries_ecc = false;  // nine lanes of eight: one lost bit can be carried (TRADE T14)
  std::vector<Index> parts;  // the memories, or the link's parts
};

struct Signals {
  std::vector<NetSignal> nets;  // one a net of the board
  std::vector<Bus> buses;
  std::vector<Lane> lanes;
  std::vector<Channel> channels;
  std::vector<IdlePin> idle;  // sorted by pin
};

// Null when the pin is not idle, or nothing is known of it. O(log idle).
const IdlePin* idle_pin(const Signals& signals, Index pin);

// The user's own rule for names: nets whose plain name matches the pattern ('*' any text, '?' one sign,
// case-blind) belong to this class, bus, lane, channel; empty fields say nothing.
struct NameRule {
  std::int64_t id = 0;
  std::string pattern;
  std::optional<SignalClass> signal_class;
  std::string bus, lane, channel;
  friend bool operator==(const NameRule&, const NameRule&) = default;
};

}  // namespace landfall
