#include "viewer/app/revision.hpp"

#include <algorithm>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string_view>

#include <fmt/format.h>

#include "importers/design.hpp"
#include "netdb/join/by_name.hpp"
#include "netdb/model/board_index.hpp"

namespace landfall::app {
namespace {

constexpr std::string_view kToBeCompared = "not-compared";

bool takes_place_of(const store::SourceFile& incoming, const store::SourceFile& old) {
  if (incoming.format != old.format) return false;
  if (!importers::is_bare_part(old.format)) return true;
  // In files from before version 7 it is not known of which part a list is.
  return incoming.part == old.part || (old.part.empty() && incoming.hash == old.hash);
}

using Choice = std::function<bool(Index)>;

// The board without some parts and pins, and without nets that nothing is left of.
Board without(const Board& board, const Choice& part_goes, const Choice& pin_goes) {
  Board left = board;
  left.parts.clear();
  left.pins.clear();
  left.nets.clear();
  std::vector<Index> parts(board.parts.size(), kNone);
  std::vector<Index> pins(board.pins.size(), kNone);
  std::vector<Index> nets(board.nets.size(), kNone);
  std::vector<bool> had_pins(board.nets.size(), false);
  std::vector<bool> used(board.nets.size(), false);
  const auto use = [&](Index net) {
    if (net != kNone) used[net] = true;
  };
  for (Index i = 0; i < board.parts.size(); ++i) {
    if (part_goes(i)) continue;
    parts[i] = static_cast<Index>(left.parts.size());
    left.parts.push_back(board.parts[i]);
  }
  for (Index i = 0; i < board.pins.size(); ++i) {
    if (board.pins[i].net != kNone) had_pins[board.pins[i].net] = true;
    if (parts[board.pins[i].part] == kNone || pin_goes(i)) continue;
    pins[i] = static_cast<Index>(left.pins.size());
    left.pins.push_back(board.pins[i]);
    use(board.pins[i].net);
  }
  for (const auto& land : board.lands) use(land.net);
  for (const auto& track : board.tracks) use(track.net);
  for (const auto& arc : board.arcs) use(arc.net);
  for (const auto& via : board.vias) use(via.net);
  for (const auto& fill : board.fills) use(fill.net);
  for (const auto& zone : board.zones) use(zone.net);
  for (Index i = 0; i < board.nets.size(); ++i) {
    if (had_pins[i] && !used[i]) continue;
    nets[i] = static_cast<Index>(left.nets.size());
    left.nets.push_back(board.nets[i]);
  }
  const auto moved = [](const std::vector<Index>& to, Index& index) {
    if (index != kNone) index = to[index];
  };
  for (auto& pin : left.pins) {
    moved(parts, pin.part);
    moved(nets, pin.net);
  }
  for (auto& land : left.lands) {
    moved(parts, land.part);
    moved(pins, land.pin);
    moved(nets, land.net);
  }
  for (auto& track : left.tracks) moved(nets, track.net);
  for (auto& arc : left.arcs) moved(nets, arc.net);
  for (auto& via : left.vias) moved(nets, via.net);
  for (auto& fill : left.fills) moved(nets, fill.net);
  for (auto& zone : left.zones) moved(nets, zone.net);
  return left;
}

// A part with its pins alone, each on the net of its own name.
Board list_of(const BoardIndex& index, Index part) {
  Board list;
  list.parts.push_back(index.board().parts[part]);
  std::vector<Index> nets(index.board().nets.size(), kNone);
  for (const Index at : index.pins_of_part(part)) {
    Pin pin = index.board().pins[at];
    pin.part = 0;
    if (pin.net != kNone) {
      Index& net = nets[pin.net];
      if (net == kNone) {
        net = static_cast<Index>(list.nets.size());
        list.nets.push_back({pin.function, false, {}});
      }
      pin.net = net;
    }
    list.pins.push_back(std::move(pin));
  }
  return list;
}

// What the file says of the pins on which it disagreed with the base: the net's name by pin, "no net" for
// none.
std::map<std::string, std::string> said_by(const std::string& file,
                                           const std::vector<store::KeptDisagreement>& disagreements) {
  std::map<std::string, std::string> said;
  const std::string mark = "; " + file + ": ";
  for (const store::KeptDisagreement& one : disagreements) {
    const auto at = one.says.rfind(mark);
    if (one.kind == join::word(join::DisagreementKind::kNet) && at != std::string::npos)
      said.emplace(one.what, one.says.substr(at + mark.size()));
  }
  return said;
}

// The pins that the netlist beside this board gave, and their nets: those of parts whose library part is
// known, which a netlist alone tells, that are on a net, or of which it said otherwise than the base.
Board netlist_of(const Board& before, const std::map<std::string, std::string>& said) {
  const BoardIndex index(before);
  Board own;
  std::map<std::string, Index, std::less<>> net_by_name;
  std::vector<Index> nets(before.nets.size(), kNone);
  std::vector<Index> parts(before.parts.size(), kNone);
  const auto add_net = [&](std::string name) {
    own.nets.push_back({std::move(name), false, {}});
    return static_cast<Index>(own.nets.size() - 1);
  };
  const auto own_net = [&](Index net) {
    if (nets[net] != kNone) return nets[net];
    const Net& old = before.nets[net];
    nets[net] = add_net(old.aliases.size() == 1 ? old.aliases.front() : old.name);
    own.nets[nets[net]].automatic = old.automatic;
    return nets[net];
  };
  const auto net_called = [&](const std::string& name) {
    const auto [entry, fresh] = net_by_name.try_emplace(name, kNone);
    if (!fresh) return entry->second;
    const auto known = std::find_if(before.nets.begin(), before.nets.end(), [&](const Net& net) {
      return net.name == name || std::find(net.aliases.begin(), net.aliases.end(), name) != net.aliases.end();
    });
    entry->second =
        known == before.nets.end() ? add_net(name) : own_net(static_cast<Index>(known - before.nets.begin()));
    return entry->second;
  };
  for (Index i = 0; i < before.pins.size(); ++i) {
    const Pin& pin = before.pins[i];
    const Part& part = before.parts[pin.part];
    const auto other = said.find(index.pin_text(i));
    if (other == said.end() && (part.library.empty() || pin.net == kNone)) continue;
    if (parts[pin.part] == kNone) {
      parts[pin.part] = static_cast<Index>(own.parts.size());
      own.parts.emplace_back().reference = part.reference;
    }
    Pin copy{parts[pin.part], pin.number, "", PinType::kUnknown, kNone};
    if (other == said.end()) {
      copy.net = own_net(pin.net);
    } else if (other->second != "no net") {
      copy.net = net_called(other->second);
    }
    own.pins.push_back(std::move(copy));
  }
  return own;
}

// What the incoming files know of parts and pins.
struct Known {
  std::set<std::string, std::less<>> parts, pins;
};

Known known_to(const std::vector<join::Source>& sources) {
  Known known;
  for (const join::Source& source : sources) {
    for (const Part& part : source.board.parts) known.parts.insert(part.reference);
    for (const Pin& pin : source.board.pins)
      known.pins.insert(source.board.parts[pin.part].reference + "." + pin.number);
  }
  return known;
}

}  // namespace

int fullness(const std::string& format) {
  if (importers::is_bare_part(format)) return 0;
  if (format == "ipc-d-356") return 2;
  return format == "kicad-netlist" ? 1 : 3;
}

bool all_lists(const std::vector<store::SourceFile>& files) {
  return std::all_of(files.begin(), files.end(),
                     [](const auto& file) { return importers::is_bare_part(file.format); });
}

bool has_content(const std::vector<store::SourceFile>& files, const store::SourceFile& file) {
  return std::any_of(files.begin(), files.end(), [&](const auto& one) { return one.hash == file.hash; });
}

std::string file_names(const std::vector<store::SourceFile>& files) {
  std::string names;
  for (const store::SourceFile& file : files) names += (names.empty() ? "" : " and ") + file.name;
  return names;
}

bool to_be_compared(const store::SourceFile& file) {
  return std::any_of(file.diagnostics.begin(), file.diagnostics.end(),
                     [](const Diagnostic& d) { return d.code == kToBeCompared; });
}

bool all_come_anew(const std::vector<store::SourceFile>& kept,
                   const std::vector<store::SourceFile>& incoming) {
  const bool some_known = std::any_of(incoming.begin(), incoming.end(),
                                      [&](const auto& file) { return has_content(kept, file); });
  return std::all_of(kept.begin(), kept.end(), [&](const store::SourceFile& old) {
    if (has_content(incoming, old)) return true;
    // A list beside files that are known may be of another part: only revise() can tell.
    if (some_known && importers::is_bare_part(old.format)) return false;
    const auto fresh = std::count_if(incoming.begin(), incoming.end(), [&](const auto& file) {
      return file.format == old.format && !has_content(kept, file);
    });
    const auto left = std::count_if(kept.begin(), kept.end(), [&](const auto& file) {
      return file.format == old.format && !has_content(incoming, file);
    });
    return fresh >= left;
  });
}

Revision revise(const Board& before, const std::vector<store::SourceFile>& kept,
                const std::vector<store::SourceFile>& incoming, const std::vector<join::Source>& sources,
                const std::vector<store::SourceFile>& again) {
  Revision revision;
  const store::SourceFile* base = fullest(kept);
  for (const store::SourceFile& old : kept) {
    const bool named = std::any_of(again.begin(), again.end(), [&](const auto& file) {
      return file.hash == old.hash && file.part == old.part;
    });
    const bool goes = !named && std::any_of(incoming.begin(), incoming.end(),
                                            [&](const auto& file) { return takes_place_of(file, old); });
    (goes ? revision.gone : revision.stay).push_back(old);
  }
  revision.name = file_names(revision.stay);
  revision.format = base == nullptr ? "" : base->format;
  if (revision.gone.empty()) return revision;
  const bool files_go = std::any_of(revision.gone.begin(), revision.gone.end(),
                                    [](const auto& file) { return fullness(file.format) > 0; });
  const auto files_stay = std::count_if(revision.stay.begin(), revision.stay.end(),
                                        [](const auto& file) { return fullness(file.format) > 0; });
  revision.base_gone = fullness(base->format) > 0 &&
                       std::any_of(revision.gone.begin(), revision.gone.end(), [&](const auto& old) {
                         return old.hash == base->hash && old.format == base->format;
                       });
  const BoardIndex index(before);
  std::vector<bool> has_lands(before.parts.size(), false);
  std::vector<bool> pin_has_land(before.pins.size(), false);
  for (const Land& land : before.lands) {
    if (land.part != kNone) has_lands[land.part] = true;
    if (land.pin != kNone) pin_has_land[land.pin] = true;
  }
  std::vector<bool> alone(before.parts.size(), false);
  const std::vector<Index> list_parts = join::list_parts(index);
  for (const Index part : list_parts) {
    if (before.parts.size() == 1) break;
    alone[part] = true;
    revision.lists.emplace_back(before.parts[part].reference, list_of(index, part));
  }
  const Known known = known_to(sources);
  // Another netlist that stays, beside the base, may have given parts without lands.
  const bool others = files_stay > (revision.base_gone ? 0 : 1);
  const auto part_goes = [&](Index part) {
    if (alone[part]) return true;  // comes back as a list
    if (known.parts.contains(before.parts[part].reference)) return false;
    // Others have no place: of a part that has one, or lands, the base is the file that gave it.
    if (has_lands[part] || before.parts[part].placed) return revision.base_gone;
    return files_go && !others && (revision.base_gone || !before.lands.empty());
  };
  const auto pin_goes = [&](Index pin) {
    if (!revision.base_gone || known.pins.contains(index.pin_text(pin))) return false;
    return pin_has_land[pin] || !others;
  };
  revision.board = without(before, part_goes, pin_goes);
  if (!revision.base_gone) {
    if (files_go && !others) {
      for (Net& net : revision.board.nets) net.aliases.clear();  // the netlist's words
    }
    return revision;
  }
  Board& words = revision.board;
  words.lands.clear();
  words.tracks.clear();
  words.arcs.clear();
  words.vias.clear();
  words.fills.clear();
  words.zones.clear();
  words.holes.clear();
  words.outline.clear();
  words.layers.clear();
  for (const join::Source& source : sources) {
    if (source.format == base->format) revision.new_base = source.file;
  }
  return revision;
}

void remember_netlist(const Board& before, const std::vector<store::KeptDisagreement>& disagreements,
                      Revision& revision) {
  if (!revision.base_gone) return;
  const auto is_netlist = [](const store::SourceFile& file) { return file.format == "kicad-netlist"; };
  const auto found = std::find_if(revision.stay.begin(), revision.stay.end(), is_netlist);
  if (std::count_if(revision.stay.begin(), revision.stay.end(), is_netlist) == 1) {
    Board own = netlist_of(before, said_by(found->name, disagreements));
    if (!own.pins.empty()) revision.netlist = join::Source{found->name, found->format, std::move(own)};
  }
  for (store::SourceFile& file : revision.stay) {
    std::erase_if(file.diagnostics, [](const Diagnostic& d) { return d.code == kToBeCompared; });
    if (fullness(file.format) == 0 || (revision.netlist && file.name == found->name)) continue;
    const std::string what =
        fmt::format("not held against {}: import it again to have the two compared", revision.new_base);
    revision.notes.push_back(fmt::format("{} is {}", file.name, what));
    file.diagnostics.push_back({Severity::kWarning, file.name, 0, 0, std::string(kToBeCompared), what});
  }
}

std::vector<store::KeptDisagreement> still_said(std::vector<store::KeptDisagreement> before,
                                                Revision& revision) {
  std::vector<store::KeptDisagreement> still;
  for (store::KeptDisagreement& old : before) {
    // The second side is the file that was laid over the base: "BASE: this; FILE: that", "FILE has it ...".
    const bool gone =
        std::any_of(revision.gone.begin(), revision.gone.end(), [&](const store::SourceFile& file) {
          return old.says.find("; " + file.name + ": ") != std::string::npos ||
                 old.says.starts_with(file.name + " has it ") || old.says.starts_with("only in " + file.name);
        });
    if (gone && old.kind == join::word(join::DisagreementKind::kFunction))
      revision.contested.insert(old.what);
    if (gone || (revision.base_gone && old.kind != join::word(join::DisagreementKind::kFunction))) continue;
    const auto colon = old.says.find(": ");
    if (revision.base_gone && colon != std::string::npos)
      old.says = revision.new_base + old.says.substr(colon);
    still.push_back(std::move(old));
  }
  return still;
}

void keep_disagreements(std::vector<store::KeptDisagreement> before, const Board& now,
                        store::Origin& origin) {
  const BoardIndex index(now);
  const auto function_of = [&](const std::string& site) -> std::optional<std::string> {
    const auto dot = site.rfind('.');
    const Index part = dot == std::string::npos ? kNone : index.part(site.substr(0, dot));
    const Index pin = part == kNone ? kNone : index.pin(part, site.substr(dot + 1));
    return pin == kNone ? std::nullopt : std::optional(now.pins[pin].function);
  };
  std::vector<store::KeptDisagreement> all;
  for (store::KeptDisagreement& old : before) {
    const bool anew = std::any_of(origin.disagreements.begin(), origin.disagreements.end(),
                                  [&](const auto& d) { return d.kind == old.kind && d.what == old.what; });
    bool holds = true;
    if (old.kind == join::word(join::DisagreementKind::kFunction)) {
      // It was said of the name that stood on the board: held against the one that stands now.
      const auto function = function_of(old.what);
      const auto other = old.says.find("; ");
      const auto first = old.says.find(": ");
      holds =
          function && other != std::string::npos && first < other && !old.says.ends_with(": " + *function);
      if (holds) old.says = old.says.substr(0, first + 2) + *function + old.says.substr(other);
    }
    if (!anew && holds) all.push_back(std::move(old));
  }
  all.insert(all.end(), origin.disagreements.begin(), origin.disagreements.end());
  origin.disagreements = std::move(all);
}

const store::SourceFile* fullest(const std::vector<store::SourceFile>& files) {
  const auto at = std::max_element(files.begin(), files.end(), [](const auto& a, const auto& b) {
    return fullness(a.format) < fullness(b.format);
  });
  return at == files.end() ? nullptr : &*at;
}

std::vector<std::string> places_taken(const std::vector<store::SourceFile>& before,
                                      const std::vector<store::SourceFile>& after) {
  const auto among = [](const std::vector<store::SourceFile>& files, const store::SourceFile& file) {
    return std::any_of(files.begin(), files.end(),
                       [&](const auto& one) { return one.hash == file.hash && one.part == file.part; });
  };
  std::vector<std::string> notes;
  for (const store::SourceFile& old : before) {
    const bool stays = std::any_of(after.begin(), after.end(), [&](const auto& now) {
      return now.hash == old.hash && (now.part == old.part || old.part.empty());
    });
    if (stays) continue;
    std::string by;
    for (const store::SourceFile& now : after) {
      const bool in_its_place =
          now.format == old.format && !among(before, now) && (now.part == old.part || old.part.empty());
      if (in_its_place) by += (by.empty() ? "" : " and ") + now.name;
    }
    if (!by.empty())
      notes.push_back(fmt::format("{} now stands in the place of {}{}", by,
                                  by == old.name ? "the earlier " : "", old.name));
  }
  return notes;
}

std::vector<std::string> changes_of_names(const Board& before, const Board& after) {
  constexpr std::size_t kNamed = 5;
  const BoardIndex was(before);
  const BoardIndex is(after);
  std::vector<std::string> notes;
  std::size_t more = 0;
  for (Index i = 0; i < before.pins.size(); ++i) {
    const Pin& old = before.pins[i];
    const Index part = is.part(before.parts[old.part].reference);
    const Index pin = part == kNone ? kNone : is.pin(part, old.number);
    if (pin == kNone || old.function.empty() || after.pins[pin].function == old.function) continue;
    if (notes.size() == kNamed) {
      ++more;
      continue;
    }
    notes.push_back(fmt::format("{} was called {} and is now called {}", was.pin_text(i), old.function,
                                after.pins[pin].function.empty() ? "nothing" : after.pins[pin].function));
  }
  if (more > 0) notes.push_back(fmt::format("{} more pins are called otherwise than before", more));
  return notes;
}

}  // namespace landfall::app
