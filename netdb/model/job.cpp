#include "netdb/model/job.hpp"

#include <array>

namespace landfall {
namespace {

constexpr std::array<std::string_view, kMarkKinds> kWords{"sound", "mask",   "loose", "missing",
                                                          "torn",  "barrel", "chip"};

}  // namespace

std::string_view word(MarkKind kind) {
  return kWords[static_cast<std::size_t>(kind)];
}

std::optional<MarkKind> mark_kind(std::string_view text) {
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if (kWords[i] == text) return static_cast<MarkKind>(i);
  }
  return std::nullopt;
}

bool takes_copper(MarkKind kind) {
  return kind == MarkKind::kMissing || kind == MarkKind::kTorn || kind == MarkKind::kBarrel;
}

std::string_view word(SafetyAnswer answer) {
  switch (answer) {
    case SafetyAnswer::kNotAsked:
      return "not asked";
    case SafetyAnswer::kNo:
      return "no";
    case SafetyAnswer::kYes:
      return "yes";
  }
  return "";
}

std::string_view word(FactKind kind) {
  switch (kind) {
    case FactKind::kJoined:
      return "joined";
    case FactKind::kOpen:
      return "open";
    case FactKind::kNamed:
      return "named";
    case FactKind::kViaGood:
      return "via good";
    case FactKind::kToward:
      return "toward";
    case FactKind::kBanned:
      return "banned";
    case FactKind::kAdded:
      return "added";
    case FactKind::kSpared:
      return "spared";
  }
  return "";
}

}  // namespace landfall
