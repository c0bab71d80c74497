#include "netdb/rework/mend/mend.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "netdb/rework/mend/forest.hpp"
#include "netdb/rework/need.hpp"
#include "netdb/rework/sites.hpp"

namespace landfall::rework {
namespace {

std::optional<double> bearing(const std::string& toward) {
  constexpr std::array<std::string_view, 8> kWords{"e", "ne", "n", "nw", "w", "sw", "s", "se"};
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if (kWords[i] == toward) return 45.0 * static_cast<double>(i);
  }
  return std::nullopt;
}

// One net of the job: its marks, its copper, its things.
class NetMender {
 public:
  NetMender(const MendInput& in, Index net, std::vector<SiteAnswer>& sites)
      : in_(in), rules_(in.rules), index_(*in.index), board_(in.index->board()), net_(net), sites_(sites) {
    answer_.net = net;
  }

  void add_mark(const Mark& mark, Index pin, std::size_t site) {
    // The side of the part that the first mark is on: several lifted parts may lie on either.
    if (marked_.empty()) rules_.side = board_.parts[board_.pins[pin].part].side;
    marked_.push_back({&mark, pin, site, {}});
  }
  void add_fact(const Fact& fact, Index a, Index b) { facts_.push_back({&fact, a, b}); }

  NetMend run() {
    answer_.copper_known = in_.copper->known();
    for (const Marked& marked : marked_) {
      const SiteAnswer* site = answer_of(marked);
      if (site != nullptr && site->need == Need::kCannot)
        answer_.cannot.push_back({marked.pin, site->reason});
    }
    if (answer_.copper_known) answer_.doubt = in_.copper->doubt(net_);
    if (!answer_.copper_known) {
      count_by_sites();
      return std::move(answer_);
    }
    base_ = &in_.copper->net(net_);
    find_land_nodes();
    damage();
    apply_facts();
    list_cut_off();
    decide_sites();
    join_things();
    return std::move(answer_);
  }

 private:
  struct Marked {
    const Mark* mark = nullptr;
    Index pin = kNone;
    std::size_t site = 0;  // its answer, or no_site
    std::vector<Node> rim;
  };
  struct Told {
    const Fact* fact = nullptr;
    Index a = kNone, b = kNone;
  };
  struct Thing {
    Index ball = kNone;  // a bare ball, or
    Node root = 0;       // an island
    std::vector<Index> live;
    std::vector<Node> nodes;
    std::vector<Landing> landings;
    bool has_conductor = false;
  };

  SiteAnswer* answer_of(const Marked& marked) {
    return marked.site < sites_.size() ? &sites_[marked.site] : nullptr;
  }

  static bool is_needed(Need need) { return need == Need::kWire || need == Need::kRebuild; }

  // No copper: each needed site is a wire to the nearest of the net's other pins that is a landing, if any
  // place is known at all.
  void count_by_sites() {
    answer_.doubt = "the files give no copper";
    for (const Told& told : facts_) {
      if (told.fact->kind == FactKind::kJoined) {
        for (const Index pin : {told.a, told.b}) rebuild_by_fact(pin);
      } else if (told.fact->kind == FactKind::kOpen) {
        const Index loose = parted(told);
        if (taken(loose) != nullptr || is_dead(loose)) continue;
        if (answer_of_pin(loose) != nullptr) {
          wire_by_reading(loose);
          continue;
        }
        add_site_wire(loose, "measured open");
        answer_.cut_off.push_back(loose);
        answer_.open.push_back(loose);
      }
    }
    for (const Marked& marked : marked_) {
      SiteAnswer* site = answer_of(marked);
      if (site == nullptr || site->need != Need::kWire) continue;
      add_site_wire(marked.pin, site->reason + "; which copper is left is not known");
    }
    for (const Marked& marked : marked_) note_bonding(marked);
  }

  [[nodiscard]] bool beeps_to_another(Index pin, Index but) const {
    return std::any_of(facts_.begin(), facts_.end(), [&](const Told& t) {
      if (t.fact->kind != FactKind::kJoined) return false;
      return (t.a == pin && t.b != but) || (t.b == pin && t.a != but);
    });
  }

  // A reading between two pins says that a break lies between them, not where. It is taken to be at the
  // first, unless that one beeps to some third pin and the other to none: then it is the other that has come
  // loose.
  [[nodiscard]] Index parted(const Told& told) const {
    if (told.b == kNone) return told.a;
    return beeps_to_another(told.a, told.b) && !beeps_to_another(told.b, told.a) ? told.b : told.a;
  }

  void part(Index pin) {
    open_.insert(pin);
    rules_.marked[pin] = 1;  // its own land is no landing for it
  }

  void add_site_wire(Index pin, std::string why) {
    Jumper jumper;
    jumper.net = net_;
    jumper.from = site_landing(pin);
    jumper.to = far_pin(pin);
    jumper.straight = distance(jumper.from.at, jumper.to.at);
    jumper.why = std::move(why);
    answer_.jumpers.push_back(std::move(jumper));
  }

  // What beeps is copper at the site: it can be built on.
  void rebuild_by_fact(Index pin) {
    SiteAnswer* site = pin == kNone ? nullptr : answer_of_pin(pin);
    if (site == nullptr || site->need != Need::kWire) return;
    site->need = Need::kRebuild;
    site->reason += "; it beeps, so that a new land there mends it";
    answer_.rebuilds.push_back({pin, 1, false, false, site->reason});
  }

  [[nodiscard]] bool is_banned(Index pin) const {
    const auto lands = index_.lands_of_pin(pin);
    return !lands.empty() && std::any_of(rules_.bans.begin(), rules_.bans.end(), [&](const Ban& ban) {
      return distance(ban.at, board_.lands[lands.front()].at) <= ban.reach;
    });
  }

  // The candidate at the far end where only pins are known: connector, terminal, lead, ball, in that order.
  Landing far_pin(Index pin) {
    Landing best;
    best.kind = LandingKind::kUnknown;
    const Point site = site_landing(pin).at;
    best.at = site;
    double least = 1e300;
    for (const Index other : index_.pins_of_net(net_)) {
      if (other == pin || rules_.marked[other] != 0 || is_banned(other)) continue;
      const Index part = board_.pins[other].part;
      Landing landing = site_landing(other);
      landing.kind = in_.shade->area_array(part) ? LandingKind::kBall : in_.shade->kind_of_land(part);
      const double cost = hardness(landing.kind) + static_cast<double>(distance(landing.at, site));
      if (cost >= least) continue;
      least = cost;
      best = landing;
    }
    return best;
  }

  [[nodiscard]] Landing site_landing(Index pin) const {
    Landing landing;
    landing.kind = LandingKind::kSite;
    landing.pin = pin;
    landing.side = rules_.side;
    const auto lands = index_.lands_of_pin(pin);
    if (!lands.empty()) {
      const Land& land = board_.lands[lands.front()];
      landing.at = land.at;
      landing.item = lands.front();
      landing.width = std::min(land.width, land.height);
    }
    return landing;
  }

  void find_land_nodes() {
    for (std::size_t node = 0; node < base_->pieces.size(); ++node) {
      const Piece& piece = in_.copper->piece(*base_, static_cast<Node>(node));
      if (piece.kind != CopperKind::kLand) continue;
      const Index pin = board_.lands[piece.item].pin;
      if (pin != kNone) lands_[pin].push_back(static_cast<Node>(node));
    }
    base_sets_.emplace(base_->pieces.size());
    for (std::size_t node = 0; node < base_->pieces.size(); ++node)
      base_sets_->join(static_cast<Node>(node), base_->island[node]);
    for (const auto& [pin, nodes] : lands_) {
      for (const Node node : nodes) base_sets_->join(nodes.front(), node);
    }
  }

  // The island before any mark; a pin's several lands are joined inside its part.
  Node base_root(Node node) { return base_sets_->root(node); }

  void damage() {
    std::vector<LandMark> cuts;
    std::vector<std::pair<std::size_t, std::size_t>> whose;  // mark, cut
    for (std::size_t m = 0; m < marked_.size(); ++m) {
      const Mark& mark = *marked_[m].mark;
      if (!takes_copper(mark.kind)) continue;
      const auto found = lands_.find(marked_[m].pin);
      if (found == lands_.end()) continue;  // its land is not in the board file
      for (const Node node : found->second) {
        whose.emplace_back(m, cuts.size());
        cuts.push_back(
            {node, mark.kind, mark.via_good, bearing(mark.only_toward), static_cast<double>(in_.torn_reach)});
      }
    }
    state_ = state_of(*in_.copper, net_, cuts);
    for (const auto& [m, cut] : whose) {
      marked_[m].rim.insert(marked_[m].rim.end(), state_->at_rim[cut].begin(), state_->at_rim[cut].end());
      for (const Node via : state_->pulled[cut]) name_pulled_via(marked_[m], via);
    }
    sets_.emplace(state_->nodes() + marked_.size());  // each marked site has a node of its own
    for (std::size_t node = 0; node < state_->nodes(); ++node) {
      if (state_->alive(static_cast<Node>(node))) sets_->join(static_cast<Node>(node), state_->island[node]);
    }
    // A pin that has several lands joins them inside its part, as it did before.
    for (const auto& [pin, nodes] : lands_) {
      Node first = kGone;
      for (const Node node : nodes) {
        if (state_->gone[node] != 0 || base_root(node) != base_root(nodes.front())) continue;
        if (first == kGone) first = node;
        sets_->join(first, node);
      }
    }
  }

  // What a barrel mark takes beyond the land is said: it may have held.
  void name_pulled_via(const Marked& marked, Node via) {
    SiteAnswer* site = answer_of(marked);
    if (site == nullptr || site->need == Need::kNone || site->need == Need::kOptional) return;
    const Point at = board_.vias[in_.copper->piece(*base_, via).item].at;
    site->reason +=
        fmt::format("; the via at {}, {} mm away, counts as pulled with it (fact via-good if it held)",
                    index_.place_text(at), mm_text(distance(at, site_landing(marked.pin).at), 1));
  }

  [[nodiscard]] Node site_node(std::size_t m) const { return static_cast<Node>(state_->nodes() + m); }

  // A node that stands for the pin now: its land, or its site's own where the land is gone.
  [[nodiscard]] Node node_of(Index pin) const {
    for (std::size_t m = 0; m < marked_.size(); ++m) {
      if (marked_[m].pin == pin && takes_copper(marked_[m].mark->kind)) return site_node(m);
    }
    const auto found = lands_.find(pin);
    if (found == lands_.end()) return kGone;
    for (const Node node : found->second) {
      if (state_->gone[node] == 0) return node;
    }
    return kGone;
  }

  void apply_facts() {
    for (const Told& told : facts_) {
      if (told.fact->kind != FactKind::kJoined || told.b == kNone) continue;
      const Node a = node_of(told.a);
      const Node b = node_of(told.b);
      if (a == kGone || b == kGone) continue;
      for (Marked& marked : marked_) {
        // What beeps is copper at the site: it can be built on.
        if (marked.pin == told.a && b < state_->nodes()) marked.rim.push_back(b);
        if (marked.pin == told.b && a < state_->nodes()) marked.rim.push_back(a);
      }
      sets_->join(a, b);
    }
    for (const Told& told : facts_) {
      if (told.fact->kind != FactKind::kOpen) continue;
      // Where the marks have parted the two already, the reading adds nothing.
      if (told.b != kNone && is_apart(told.a, told.b)) continue;
      part(parted(told));
      wire_by_reading(parted(told));
    }
  }

  // A site whose land is there by its mark, but reaches nothing by the meter.
  void wire_by_reading(Index pin) {
    SiteAnswer* site = answer_of_pin(pin);
    if (site == nullptr || taken(pin) != nullptr || is_dead(pin)) return;
    if (site->need != Need::kNone && site->need != Need::kRebuild) return;
    site->need = Need::kWire;
    site->reason = "measured open; by its mark: " + site->reason;
  }

  // What the probe touches at a pin: its land, and at a site without one the conductors at its rim.
  std::set<Node> touched_at(Index pin) {
    std::set<Node> roots;
    if (const Node own = node_of(pin); own != kGone) roots.insert(sets_->root(own));
    for (const Marked& marked : marked_) {
      if (marked.pin != pin) continue;
      for (const Node node : marked.rim) roots.insert(sets_->root(node));
    }
    return roots;
  }

  bool is_apart(Index one, Index other) {
    const std::set<Node> here = touched_at(one);
    const std::set<Node> there = touched_at(other);
    return std::none_of(here.begin(), here.end(), [&](Node node) { return there.contains(node); });
  }

  // It works at nothing: its package's land is gone, it is an address ball without use, or can be spared.
  [[nodiscard]] bool is_dead(Index pin) const {
    const IdlePin* idle = in_.signals != nullptr ? idle_pin(*in_.signals, pin) : nullptr;
    if (idle != nullptr && idle->sure) return true;
    if (can_spare(pin)) return true;
    return std::any_of(marked_.begin(), marked_.end(),
                       [&](const Marked& m) { return m.pin == pin && m.mark->kind == MarkKind::kChip; });
  }

  [[nodiscard]] bool can_spare(Index pin) const {
    return std::any_of(facts_.begin(), facts_.end(),
                       [&](const Told& t) { return t.fact->kind == FactKind::kSpared && t.a == pin; });
  }

  [[nodiscard]] const Marked* taken(Index pin) const {
    for (const Marked& m : marked_) {
      if (m.pin == pin && takes_copper(m.mark->kind)) return &m;
    }
    return nullptr;
  }

  // Live pins on copper, by their island now, within one island of the unmarked board.
  // `spared`: those in their place that the board can do without.
  std::map<Node, std::map<Node, std::vector<Index>>> live_by_island(bool spared = false) {
    std::map<Node, std::map<Node, std::vector<Index>>> live;
    std::vector<std::pair<Node, Node>> seen;
    for (const auto& [pin, nodes] : lands_) {
      if (!is_live(index_, pin) || (spared ? !can_spare(pin) : is_dead(pin)) || taken(pin) != nullptr ||
          open_.contains(pin))
        continue;
      seen.clear();
      for (const Node node : nodes) {
        if (state_->gone[node] == 0) seen.emplace_back(base_root(node), sets_->root(node));
      }
      std::sort(seen.begin(), seen.end());
      seen.erase(std::unique(seen.begin(), seen.end()), seen.end());
      for (const auto& [before, now] : seen) live[before][now].push_back(pin);
    }
    return live;
  }

  void list_cut_off() {
    const auto spared = live_by_island(true);
    for (auto& [before, now] : live_by_island()) {
      const auto most = std::max_element(now.begin(), now.end(), [](const auto& a, const auto& b) {
        return a.second.size() != b.second.size() ? a.second.size() < b.second.size()
                                                  : a.second.front() > b.second.front();
      });
      for (const auto& [root, pins] : now) {
        if (root != most->first) answer_.cut_off.insert(answer_.cut_off.end(), pins.begin(), pins.end());
      }
      // What can be spared gets no wire, and its loss is seen all the same.
      const auto left = spared.find(before);
      if (left == spared.end()) continue;
      for (const auto& [root, pins] : left->second) {
        if (root == most->first) continue;
        std::copy_if(pins.begin(), pins.end(), std::back_inserter(answer_.cut_off), [&](Index pin) {
          return answer_of_pin(pin) == nullptr;
        });  // a marked one has its own line
      }
    }
    for (const Index pin : open_) {
      if (!is_live(index_, pin) || taken(pin) != nullptr || (is_dead(pin) && !can_spare(pin))) continue;
      if (answer_of_pin(pin) != nullptr) continue;  // its own line says so
      answer_.cut_off.push_back(pin);
      answer_.open.push_back(pin);
    }
    std::sort(answer_.cut_off.begin(), answer_.cut_off.end());
    answer_.cut_off.erase(std::unique(answer_.cut_off.begin(), answer_.cut_off.end()), answer_.cut_off.end());
  }

  void note_bonding(const Marked& marked) {
    const SiteAnswer* site = answer_of(marked);
    if (site != nullptr && site->need == Need::kRebuild && marked.mark->kind == MarkKind::kLoose)
      answer_.rebuilds.push_back({marked.pin, 1, false, true, site->reason});
  }

  // Which needed sites are built anew on what is left at their rim.
  void decide_sites() {
    std::set<Node> with_live;
    for (const auto& [before, now] : live_by_island()) {
      for (const auto& [root, pins] : now) with_live.insert(root);
    }
    std::vector<std::size_t> built;
    for (std::size_t m = 0; m < marked_.size(); ++m) {
      Marked& marked = marked_[m];
      note_bonding(marked);
      SiteAnswer* site = answer_of(marked);
      if (site == nullptr || site->need != Need::kWire || !takes_copper(marked.mark->kind)) continue;
      if (lands_.find(marked.pin) == lands_.end() || open_.contains(marked.pin)) continue;
      const bool joined = std::any_of(marked.rim.begin(), marked.rim.end(), [&](Node node) {
        return with_live.contains(sets_->root(node)) || reaches_other_rim(m, node);
      });
      if (!joined) continue;
      built.push_back(m);
    }
    for (const std::size_t m : built) rebuild(m);
  }

  // Copper at the rim that leads to another needed site only: a new land at both mends it.
  [[nodiscard]] bool reaches_other_rim(std::size_t m, Node node) {
    const Node root = sets_->root(node);
    for (std::size_t other = 0; other < marked_.size(); ++other) {
      if (other == m || answer_of(marked_[other]) == nullptr) continue;
      if (!is_needed(answer_of(marked_[other])->need)) continue;
      for (const Node theirs : marked_[other].rim) {
        if (sets_->root(theirs) == root) return true;
      }
    }
    return false;
  }

  void rebuild(std::size_t m) {
    Marked& marked = marked_[m];
    Rebuild rebuild;
    rebuild.pin = marked.pin;
    std::set<Node> ends(marked.rim.begin(), marked.rim.end());
    rebuild.conductors = ends.size();
    for (const Node node : ends) {
      rebuild.on_via = rebuild.on_via || state_->piece(*in_.copper, node).kind == CopperKind::kVia;
      sets_->join(site_node(m), node);
    }
    built_.insert(marked.pin);
    SiteAnswer& site = sites_[marked.site];
    site.need = Need::kRebuild;
    const std::string_view what =
        rebuild.on_via ? "a via is left at the site" : "the conductor still ends at its rim";
    site.reason += fmt::format("; {}: a new land there mends it", what);
    rebuild.why = site.reason;
    answer_.rebuilds.push_back(std::move(rebuild));
  }

  // The things of each island of the unmarked board, and the forest that joins them.
  void join_things() {
    std::map<Node, std::vector<Thing>> groups;
    std::map<Node, std::map<Node, std::vector<Index>>> live = live_by_island();
    for (const Index pin : open_) {
      const auto found = lands_.find(pin);
      if (found == lands_.end() || !is_live(index_, pin) || taken(pin) != nullptr || is_dead(pin)) continue;
      Thing thing;
      thing.ball = pin;
      groups[base_root(found->second.front())].push_back(std::move(thing));
    }
    for (const Marked& marked : marked_) {
      const SiteAnswer* site = answer_of(marked);
      if (site == nullptr || lands_.find(marked.pin) == lands_.end()) continue;
      const Node before = base_root(lands_[marked.pin].front());
      if (site->need == Need::kRebuild && built_.contains(marked.pin)) {
        live[before][sets_->root(node_of(marked.pin))].push_back(marked.pin);
      } else if (site->need == Need::kWire && (taken(marked.pin) != nullptr || !open_.contains(marked.pin))) {
        Thing thing;
        thing.ball = marked.pin;
        groups[before].push_back(std::move(thing));
      }
    }
    for (auto& [before, now] : live) {
      std::map<Node, std::vector<Index>> merged;
      for (auto& [root, pins] : now) {
        auto& list = merged[sets_->root(root)];
        list.insert(list.end(), pins.begin(), pins.end());
      }
      for (auto& [root, pins] : merged) {
        Thing thing;
        thing.root = root;
        thing.live = std::move(pins);
        groups[before].push_back(std::move(thing));
      }
    }
    for (auto& [before, things] : groups) join_group(things);
    for (const Marked& marked : marked_) {
      // A ball that has no land in the copper (a netlist's part that the board has not) stays a bound.
      SiteAnswer* site = answer_of(marked);
      if (site == nullptr || site->need != Need::kWire || lands_.find(marked.pin) != lands_.end()) continue;
      answer_.doubt = "the ball has no land on the board";
      Jumper jumper;
      jumper.net = net_;
      jumper.from = site_landing(marked.pin);
      jumper.to = far_pin(marked.pin);
      jumper.why = site->reason + "; its land is not in the board file";
      answer_.jumpers.push_back(std::move(jumper));
    }
  }

  void list_landings(std::vector<Thing>& things) {
    std::map<Node, Thing*> by_root;
    for (Thing& thing : things) {
      if (thing.ball == kNone) {
        by_root[thing.root] = &thing;
      } else {
        thing.landings.push_back(site_landing(thing.ball));
      }
    }
    for (std::size_t node = 0; node < state_->nodes(); ++node) {
      if (!state_->alive(static_cast<Node>(node))) continue;
      const auto found = by_root.find(sets_->root(static_cast<Node>(node)));
      if (found != by_root.end()) found->second->nodes.push_back(static_cast<Node>(node));
    }
    for (Thing& thing : things) {
      if (thing.ball != kNone) continue;
      thing.landings = landings_of(index_, *in_.copper, *state_, thing.nodes, rules_, *in_.shade);
      for (const Landing& added : in_.added) {
        const Node node = added.pin == kNone ? kGone : node_of(added.pin);
        if (node != kGone && sets_->root(node) == thing.root) thing.landings.push_back(added);
      }
      thing.has_conductor = has_outer_conductor(*in_.copper, *state_, thing.nodes, rules_);
    }
  }

  // The cheapest wire between two things; false when one of them has no landing.
  bool best_wire(const Thing& a, const Thing& b, Jumper& wire, double& cost) {
    bool any = false;
    cost = 1e300;
    const bool open_ball =
        (a.ball != kNone && open_.contains(a.ball)) || (b.ball != kNone && open_.contains(b.ball));
    const auto offer = [&](const Landing& p, const Landing& q) {
      // What lies at the land that was measured open is that land's own copper.
      if (open_ball && distance(p.at, q.at) < (p.width + q.width) / 2 + 50'000) return;
      const double here = hardness(p.kind) + hardness(q.kind) + static_cast<double>(distance(p.at, q.at));
      if (here >= cost) return;
      cost = here;
      wire.from = p;
      wire.to = q;
      wire.straight = distance(p.at, q.at);
      any = true;
    };
    const Thing& small = a.landings.size() <= b.landings.size() ? a : b;
    const Thing& large = &small == &a ? b : a;
    constexpr std::size_t kMostStarts = 200;
    for (std::size_t i = 0; i < std::min(small.landings.size(), kMostStarts); ++i) {
      for (const Landing& q : large.landings) offer(small.landings[i], q);
      Landing conductor;
      if (i < 8 && large.has_conductor &&
          nearest_conductor(*in_.copper, *state_, large.nodes, rules_, *in_.shade, small.landings[i].at,
                            conductor))
        offer(small.landings[i], conductor);
    }
    if (small.has_conductor) {
      for (std::size_t i = 0; i < std::min<std::size_t>(large.landings.size(), 8); ++i) {
        Landing conductor;
        if (nearest_conductor(*in_.copper, *state_, small.nodes, rules_, *in_.shade, large.landings[i].at,
                              conductor))
          offer(conductor, large.landings[i]);
      }
    }
    return any;
  }

  void join_group(std::vector<Thing>& things) {
    if (things.size() == 1 && things[0].ball != kNone) {
      // Nothing else of the net was joined to it even before: with an unfilled zone this cannot be told.
      SiteAnswer* site = answer_of_pin(things[0].ball);
      if (site != nullptr) say_alone(*site, things[0].ball);
      return;
    }
    spare_supply_balls(things);
    if (things.size() < 2) return;
    list_landings(things);
    std::vector<ForestEdge> edges;
    std::vector<Jumper> wires;
    for (std::size_t a = 0; a < things.size(); ++a) {
      for (std::size_t b = a + 1; b < things.size(); ++b) {
        Jumper wire;
        double cost = 0;
        if (!best_wire(things[a], things[b], wire, cost)) continue;
        edges.push_back({a, b, cost});
        wires.push_back(std::move(wire));
      }
    }
    Sets joined(things.size());
    std::vector<std::size_t> taken;
    for (const std::size_t e : least_forest(things.size(), edges)) {
      joined.join(static_cast<Node>(edges[e].a), static_cast<Node>(edges[e].b));
      taken.push_back(e);
    }
    const Node most = say_cannot(things, joined);
    for (const std::size_t e : taken) {
      if (joined.root(static_cast<Node>(edges[e].a)) != most) continue;
      Jumper wire = std::move(wires[e]);
      finish_wire(wire);
      answer_.jumpers.push_back(std::move(wire));
    }
  }

  // A needed ball that no other thing of its piece is left for.
  void say_alone(SiteAnswer& site, Index ball) {
    const Node before = base_root(lands_[ball].front());
    std::vector<Index> dead;
    for (const auto& [pin, nodes] : lands_) {
      if (pin != ball && is_live(index_, pin) && base_root(nodes.front()) == before) dead.push_back(pin);
    }
    site.need = Need::kNone;
    if (dead.empty()) {
      site.reason = "its net's copper joined it to nothing even before";
    } else if (std::all_of(dead.begin(), dead.end(), [&](Index pin) { return can_spare(pin); })) {
      site.reason = leads_to_spared(index_, dead);
      site.spared = true;
    } else {
      site.reason = "nothing works at what its copper led to: " + names_of(index_, dead);
    }
  }

  // Pieces with nothing but balls of a supply that can do without them (DESIGN.md section 5, need rule 2) are
  // no things: the same rule as for marked balls.
  void spare_supply_balls(std::vector<Thing>& things) {
    if (in_.signals == nullptr || !is_supply(in_.signals->nets[net_].signal_class)) return;
    const auto most = std::max_element(things.begin(), things.end(), [](const Thing& a, const Thing& b) {
      return a.live.size() < b.live.size();
    });
    if (most->ball != kNone) return;
    const Node main = most->root;
    std::map<Index, std::size_t> lost;  // balls of a part that are off the main piece
    for (const Thing& thing : things) {
      if (thing.ball == kNone && thing.root == main) continue;
      for (const Index pin : thing.live) ++lost[board_.pins[pin].part];
      if (thing.ball != kNone) ++lost[board_.pins[thing.ball].part];
    }
    for (const Marked& marked : marked_) {
      const SiteAnswer* site = answer_of(marked);
      if (site != nullptr && site->need != Need::kWire && takes_copper(marked.mark->kind) &&
          !built_.contains(marked.pin))
        ++lost[board_.pins[marked.pin].part];
    }
    const auto can_spare = [&](Index pin) {
      const Index part = board_.pins[pin].part;
      if (!in_.shade->area_array(part)) return false;
      const auto pins = index_.pins_of_part(part);
      const auto all = static_cast<std::size_t>(std::count_if(
          pins.begin(), pins.end(), [&](Index other) { return board_.pins[other].net == net_; }));
      return all >= static_cast<std::size_t>(in_.supply.spare_least_balls) &&
             static_cast<double>(lost[part]) <= in_.supply.optional_share * static_cast<double>(all);
    };
    std::erase_if(things, [&](const Thing& thing) {
      if (thing.ball != kNone || thing.root == main) return false;
      if (!std::all_of(thing.live.begin(), thing.live.end(), can_spare)) return false;
      answer_.spared.insert(answer_.spared.end(), thing.live.begin(), thing.live.end());
      return true;
    });
  }

  SiteAnswer* answer_of_pin(Index pin) {
    for (const Marked& marked : marked_) {
      if (marked.pin == pin) return answer_of(marked);
    }
    return nullptr;
  }

  void finish_wire(Jumper& wire) {
    wire.net = net_;
    if (wire.to.kind == LandingKind::kSite && wire.from.kind != LandingKind::kSite)
      std::swap(wire.from, wire.to);
    wire.joins_rest = wire.from.kind != LandingKind::kSite;
    if (wire.joins_rest) {
      wire.why = "the marks parted this piece of the net from the rest";
      return;
    }
    SiteAnswer* site = answer_of_pin(wire.from.pin);
    wire.why = site == nullptr ? "measured open" : site->reason;
    if (wire.to.kind == LandingKind::kSite) {
      wire.why +=
          fmt::format("; {} of the same net lies nearer than any landing", index_.pin_text(wire.to.pin));
    }
  }

  [[nodiscard]] bool has_landing(const Thing& thing, const LandingRules& rules) const {
    if (!landings_of(index_, *in_.copper, *state_, thing.nodes, rules, *in_.shade).empty()) return true;
    const Point from = board_.lands[in_.copper->piece(*base_, lands_.begin()->second.front()).item].at;
    Landing any;
    return nearest_conductor(*in_.copper, *state_, thing.nodes, rules, *in_.shade, from, any);
  }

  // What the user forbids and could allow: a ban, else the other side; nothing when neither would help.
  std::string what_keeps_off(const std::vector<Thing>& things) const {
    LandingRules unbanned = rules_;
    unbanned.bans.clear();
    LandingRules other = unbanned;
    other.side = rules_.side == Side::kTop ? Side::kBottom : Side::kTop;
    bool ban = false;
    bool side = false;
    for (const Thing& thing : things) {
      if (thing.ball != kNone || has_landing(thing, rules_)) continue;
      const bool without_bans = has_landing(thing, unbanned);
      ban = ban || without_bans;
      side = side || (!without_bans && has_landing(thing, other));
    }
    if (ban) return " (a place that you banned would do)";
    return side ? " (the other side has one: setting landings.both-sides)" : "";
  }

  // Nobody marked it: that the board can do without it is said as a fact.
  [[nodiscard]] std::string how_to_spare(const Thing& thing) const {
    std::string list;
    for (const Index pin : thing.ball != kNone ? std::vector<Index>{thing.ball} : thing.live)
      list += fmt::format("{}fact spare {}", list.empty() ? "" : " and ", index_.pin_text(pin));
    const bool one = thing.ball != kNone || thing.live.size() == 1;
    return fmt::format(" ({} if the board can do without {})", list, one ? "it" : "them");
  }

  Node say_cannot(const std::vector<Thing>& things, Sets& joined) {
    // The largest group that the wires make stays; whoever is not in it cannot be reached.
    std::map<Node, std::size_t> weight;
    for (std::size_t t = 0; t < things.size(); ++t)
      weight[joined.root(static_cast<Node>(t))] += 1000 * things[t].live.size() + 1;
    const auto most = std::max_element(weight.begin(), weight.end(),
                                       [](const auto& a, const auto& b) { return a.second < b.second; });
    const std::string kept_off = weight.size() > 1 ? what_keeps_off(things) : std::string();
    for (std::size_t t = 0; t < things.size(); ++t) {
      if (joined.root(static_cast<Node>(t)) == most->first) continue;
      const Index pin = things[t].ball != kNone ? things[t].ball : things[t].live.front();
      std::string why = "no landing of its net can be reached on this side" + kept_off;
      if (things[t].ball != kNone && torn_whole(things[t].ball))
        why += " (its whole trace counts as torn: where some is left, mark it missing, or set torn.reach)";
      if (answer_of_pin(pin) == nullptr) why += how_to_spare(things[t]);
      answer_.cannot.push_back({pin, why});
      if (things[t].ball == kNone) continue;
      if (SiteAnswer* site = answer_of_pin(things[t].ball)) {
        site->need = Need::kCannot;
        site->reason += "; " + why;
      }
    }
    return most->first;
  }

  // Torn, with no limit to how far.
  [[nodiscard]] bool torn_whole(Index pin) const {
    const Marked* marked = taken(pin);
    return marked != nullptr && marked->mark->kind == MarkKind::kTorn && in_.torn_reach == 0;
  }

  static constexpr Node kGone = static_cast<Node>(-1);

  const MendInput& in_;
  LandingRules rules_;  // with this net's own side and open pins
  const BoardIndex& index_;
  const Board& board_;
  Index net_;
  std::vector<SiteAnswer>& sites_;
  const NetCopper* base_ = nullptr;
  NetMend answer_;
  std::vector<Marked> marked_;
  std::vector<Told> facts_;
  std::map<Index, std::vector<Node>> lands_;
  std::shared_ptr<const NetState> state_;
  std::optional<Sets> sets_;
  std::optional<Sets> base_sets_;
  std::set<Index> open_;
  std::set<Index> built_;
};

}  // namespace

std::vector<NetMend> mend(const MendInput& input, std::vector<SiteAnswer>& sites) {
  const Board& board = input.index->board();
  std::map<Index, NetMender> nets;
  const auto mender = [&](Index net) -> NetMender& {
    return nets.try_emplace(net, input, net, sites).first->second;
  };
  std::map<Index, std::size_t> site_of;
  for (std::size_t s = 0; s < sites.size(); ++s) site_of[sites[s].pin] = s;
  std::set<Index> read_open;  // a mark that takes nothing matters where the meter says otherwise
  if (input.facts != nullptr) {
    for (const Fact& fact : *input.facts) {
      if (fact.kind != FactKind::kOpen) continue;
      read_open.insert(pin_named(*input.index, fact.a));
      read_open.insert(pin_named(*input.index, fact.b));
    }
  }
  for (std::size_t m = 0; m < input.marks->size(); ++m) {
    const Mark& mark = (*input.marks)[m];
    const Index pin = (*input.pins)[m];
    if (pin == kNone || board.pins[pin].net == kNone) continue;
    const bool counts =
        takes_copper(mark.kind) || mark.kind == MarkKind::kLoose || mark.kind == MarkKind::kChip;
    if (!counts && !(mark.kind == MarkKind::kMask && read_open.contains(pin))) continue;
    const auto site = site_of.find(pin);
    mender(board.pins[pin].net).add_mark(mark, pin, site == site_of.end() ? sites.size() : site->second);
  }
  if (input.facts != nullptr) {
    for (const Fact& fact : *input.facts) {
      const Index a = pin_named(*input.index, fact.a);
      if (a == kNone || board.pins[a].net == kNone) continue;
      mender(board.pins[a].net).add_fact(fact, a, pin_named(*input.index, fact.b));
    }
  }
  std::vector<NetMend> answers;
  for (auto& [net, one] : nets) answers.push_back(one.run());
  return answers;
}

}  // namespace landfall::rework
