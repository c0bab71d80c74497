#include "netdb/rework/plan/plan.hpp"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "netdb/rework/mend/body.hpp"
#include "netdb/rework/plan/cut.hpp"
#include "netdb/rework/plan/ground.hpp"
#include "netdb/rework/plan/lattice.hpp"
#include "netdb/rework/plan/lost_track.hpp"
#include "netdb/rework/plan/words.hpp"
#include "netdb/rework/sites.hpp"

namespace landfall::rework {
namespace {

constexpr Nm kNeighbourReach = 1'300'000;

class Planner {
 public:
  explicit Planner(const PlanInput& in) : in_(in), index_(*in.index), board_(in.index->board()) {
    for (const Package& package : in.packages) {
      if (auto lattice = Lattice::of(index_, package, in.clearance))
        lattices_.emplace(package.part, std::move(*lattice));
    }
    plan_.bound = in.assessment->bound;
    plan_.because_bound = in.assessment->because_bound;
  }

  std::vector<NumberedPiece> pieces() {
    collect();
    order();
    std::vector<NumberedPiece> all;
    for (const PlannedRebuild& rebuild : plan_.rebuilds)
      all.push_back({rebuild.number, rebuild.at, board_.pins[rebuild.rebuild.pin].net, true});
    for (const PlannedWire& wire : plan_.wires)
      all.push_back({wire.number, ends_text(index_, wire.jumper), wire.jumper.net, false});
    return all;
  }

  Plan run() {
    collect();
    order();
    for (const auto& [part, lattice] : lattices_) escape_of(part, lattice);
    for (PlannedWire& wire : plan_.wires) finish(wire);
    judge_pairs();
    compare_sizes();
    return std::move(plan_);
  }

 private:
  [[nodiscard]] const Lattice* lattice_of(Index pin) const {
    if (pin == kNone) return nullptr;
    const auto found = lattices_.find(board_.pins[pin].part);
    return found == lattices_.end() ? nullptr : &found->second;
  }

  // The side that the wire's near end is worked on: its site's part's; that of a place that has one; else the
  // first lifted part's.
  [[nodiscard]] Side side_of(const Jumper& jumper) const {
    if (jumper.from.kind == LandingKind::kSite && jumper.from.pin != kNone)
      return board_.parts[board_.pins[jumper.from.pin].part].side;
    if (jumper.from.kind != LandingKind::kUnknown && jumper.from.side != Side::kThrough)
      return jumper.from.side;
    return in_.packages.empty() ? Side::kTop : in_.packages.front().side;
  }

  // How deep the site lies in the array: rings from the rim.
  [[nodiscard]] int depth(Index pin) const {
    const Lattice* lattice = lattice_of(pin);
    if (lattice == nullptr) return 0;
    const auto site = lattice->site(pin);
    if (!site) return 0;
    return std::min({site->row, site->column, lattice->grid().rows - 1 - site->row,
                     lattice->grid().columns - 1 - site->column});
  }

  void collect() {
    for (const NetMend& mend : in_.assessment->mends) {
      for (const Rebuild& rebuild : mend.rebuilds) {
        PlannedRebuild planned;
        planned.rebuild = rebuild;
        planned.at = index_.pin_text(rebuild.pin);
        planned.net = board_.nets[mend.net].name;
        planned.procedure = procedure_for(rebuild);
        if (const auto lands = index_.lands_of_pin(rebuild.pin); !lands.empty()) {
          const Land& land = board_.lands[lands.front()];
          planned.beware = neighbours_of(index_, land.at, land.side, mend.net, kNeighbourReach);
        }
        planned.before =
            rebuild.only_bond ? "sits firm after bonding" : "bare conductor at the rim beeps to its net";
        planned.after = "new land beeps to its net, open to its neighbours";
        plan_.rebuilds.push_back(std::move(planned));
      }
      for (const Jumper& jumper : mend.jumpers) {
        PlannedWire wire;
        wire.jumper = jumper;
        wire.from = landing_text(index_, jumper.from);
        wire.to = landing_text(index_, jumper.to) + edge_text(jumper.to, side_of(jumper));
        wire.other_side = jumper.to.side != Side::kThrough && jumper.to.side != side_of(jumper);
        wire.under_part = is_under(jumper);
        wire.bare = bare_of(mend.net);
        wire.wire = size_text(wire.bare);
        plan_.wires.push_back(std::move(wire));
      }
    }
  }

  [[nodiscard]] bool is_supply_net(Index net) const {
    return net != kNone && is_supply(in_.signals->nets[net].signal_class);
  }
  [[nodiscard]] Nm bare_of(Index net) const {
    return is_supply_net(net) ? std::max(in_.wire, in_.supply_wire) : in_.wire;
  }
  static std::string size_text(Nm bare) {
    return fmt::format("{} mm", mm_text(bare, bare % 10'000 == 0 ? 2 : 3));
  }

  // Where no file says how far a soldered array's body reaches, a place just beyond what is assumed is
  // doubtful.
  [[nodiscard]] std::string edge_text(const Landing& landing, Side worked_on) {
    if (landing.kind == LandingKind::kUnknown || landing.pin != kNone) return "";
    if (!arrays_) arrays_ = soldered_arrays();
    for (const auto& [part, box] : *arrays_) {
      const Side from = landing.side == Side::kThrough ? worked_on : landing.side;
      const bool seen = from == board_.parts[part].side;
      if (seen && box.meets({landing.at.x, landing.at.y, landing.at.x, landing.at.y}))
        return fmt::format(" (perhaps under {}'s edge)", board_.parts[part].reference);
    }
    return "";
  }

  // Area arrays that stay on and whose size is not told, by what they cover at most.
  [[nodiscard]] std::vector<std::pair<Index, Box>> soldered_arrays() const {
    const std::vector<Index> off = lifted();
    std::vector<std::pair<Index, Box>> all;
    for (Index part = 0; part < board_.parts.size(); ++part) {
      const bool is_off = std::find(off.begin(), off.end(), part) != off.end();
      if (is_off || !board_.parts[part].fitted || !is_area_array(index_, part)) continue;
      if (const auto body = body_of(index_, part); body && !body->told) all.emplace_back(part, body->at_most);
    }
    return all;
  }

  [[nodiscard]] std::vector<Index> lifted() const {
    std::vector<Index> parts;
    for (const Package& package : in_.packages) parts.push_back(package.part);
    return parts;
  }

  // Both ends lie within one lifted array: the wire stays beneath the chip.
  [[nodiscard]] bool is_under(const Jumper& jumper) const {
    if (jumper.from.kind != LandingKind::kSite || jumper.to.kind == LandingKind::kUnknown) return false;
    const Lattice* lattice = lattice_of(jumper.from.pin);
    if (lattice == nullptr) return false;
    if (jumper.to.kind == LandingKind::kSite) return lattice_of(jumper.to.pin) == lattice;
    const bool reached = jumper.to.side == Side::kThrough || jumper.to.side == side_of(jumper);
    return reached && lattice->cell_at(jumper.to.at).has_value();
  }

  // Beneath first, inner before outer, short before long; names last, so that the order is always the same.
  void order() {
    std::stable_sort(plan_.rebuilds.begin(), plan_.rebuilds.end(), [&](const auto& a, const auto& b) {
      return depth(a.rebuild.pin) > depth(b.rebuild.pin);
    });
    const auto key = [&](const PlannedWire& wire) {
      const bool site = wire.jumper.from.kind == LandingKind::kSite;
      return std::tuple(wire.under_part ? 0 : 1, site ? -depth(wire.jumper.from.pin) : 1,
                        wire.jumper.straight);
    };
    std::stable_sort(plan_.wires.begin(), plan_.wires.end(),
                     [&](const PlannedWire& a, const PlannedWire& b) { return key(a) < key(b); });
    keep_numbers();
  }

  // The same two ends, whichever is said first.
  [[nodiscard]] bool same_ends(const NumberedPiece& piece, const PlannedWire& wire) const {
    if (piece.rebuild) return false;
    const std::string near = landing_text(index_, wire.jumper.from);
    const std::string far = landing_text(index_, wire.jumper.to);
    const std::string a = near_end(piece.site);
    const std::string b = far_end(piece.site);
    return (a == near && b == far) || (a == far && b == near);
  }

  // A wire that goes elsewhere than it did: from the same site, or between places from one of the two.
  [[nodiscard]] bool moved(const NumberedPiece& piece, const PlannedWire& wire) const {
    const std::string near = landing_text(index_, wire.jumper.from);
    const std::string a = near_end(piece.site);
    if (!wire.jumper.joins_rest) return a == near;
    const bool between_places = a.find(' ') != std::string::npos;
    if (!between_places || piece.net == kNone || piece.net != wire.jumper.net) return false;
    const std::string far = landing_text(index_, wire.jumper.to);
    const std::string b = far_end(piece.site);
    return a == near || b == far || a == far || b == near;
  }

  // By both ends first. What moved has the number of its site where that can be no other piece's.
  void keep_numbers() {
    std::vector<NumberedPiece> left = in_.numbers;
    int last = 0;
    for (const NumberedPiece& piece : left) last = std::max(last, piece.number);
    const auto take = [&](const auto& fits) {
      const auto found = std::find_if(left.begin(), left.end(), fits);
      const int number = found == left.end() ? 0 : found->number;
      if (found != left.end()) left.erase(found);
      return number;
    };
    for (PlannedRebuild& rebuild : plan_.rebuilds)
      rebuild.number = take([&](const NumberedPiece& p) { return p.rebuild && p.site == rebuild.at; });
    for (PlannedWire& wire : plan_.wires)
      wire.number = take([&](const NumberedPiece& p) { return same_ends(p, wire); });
    follow_moved(left);
    // A site that is mended another way now has its old number all the same.
    for (PlannedRebuild& rebuild : plan_.rebuilds) {
      if (rebuild.number == 0)
        rebuild.number = take([&](const NumberedPiece& p) { return near_end(p.site) == rebuild.at; });
    }
    for (PlannedRebuild& rebuild : plan_.rebuilds) {
      if (rebuild.number == 0) rebuild.number = ++last;
    }
    for (PlannedWire& wire : plan_.wires) {
      if (wire.number == 0) wire.number = ++last;
    }
    const auto by_number = [](const auto& a, const auto& b) { return a.number < b.number; };
    std::stable_sort(plan_.rebuilds.begin(), plan_.rebuilds.end(), by_number);
    std::stable_sort(plan_.wires.begin(), plan_.wires.end(), by_number);
  }

  // One piece without a number and one number without a piece: each the other's only one.
  void follow_moved(std::vector<NumberedPiece>& left) {
    std::vector<std::pair<PlannedWire*, int>> given;
    for (PlannedWire& wire : plan_.wires) {
      if (wire.number != 0) continue;
      const NumberedPiece* only = nullptr;
      std::size_t numbers = 0;
      for (const NumberedPiece& piece : left) {
        if (!moved(piece, wire)) continue;
        ++numbers;
        only = &piece;
      }
      if (numbers != 1) continue;
      const auto wires = std::count_if(plan_.wires.begin(), plan_.wires.end(), [&](const PlannedWire& other) {
        return other.number == 0 && moved(*only, other);
      });
      if (wires == 1) given.emplace_back(&wire, only->number);
    }
    for (const auto& [wire, number] : given) {
      wire->number = number;
      std::erase_if(left, [n = number](const NumberedPiece& piece) { return piece.number == n; });
    }
  }

  [[nodiscard]] Nm overall(Nm bare) const {
    const physics::WireSize* size = physics::enamelled_wire(bare);
    return size != nullptr ? size->overall_most : bare + bare / 5;
  }

  // The wires of one lifted array as the escape takes them.
  // `bare`: of the signals' wires; supplies have it too, or their own where that is thicker.
  std::vector<EscapeWire> escape_wires(Index part, const Lattice& lattice, Nm bare,
                                       std::vector<std::size_t>& which) const {
    std::vector<EscapeWire> wires;
    for (std::size_t w = 0; w < plan_.wires.size(); ++w) {
      const Jumper& jumper = plan_.wires[w].jumper;
      if (jumper.from.kind != LandingKind::kSite || board_.pins[jumper.from.pin].part != part) continue;
      const auto from = lattice.site(jumper.from.pin);
      if (!from) continue;
      EscapeWire wire;
      wire.from = *from;
      wire.overall = overall(is_supply_net(jumper.net) ? std::max(bare, in_.supply_wire) : bare);
      if (plan_.wires[w].under_part) {
        wire.inside = true;
        const auto site = jumper.to.kind == LandingKind::kSite ? lattice.site(jumper.to.pin) : std::nullopt;
        if (site) {
          wire.to = *site;
        } else if (const auto cell = lattice.cell_at(jumper.to.at)) {
          wire.to_cell = true;
          wire.to = *cell;
        }
      }
      which.push_back(w);
      wires.push_back(wire);
    }
    return wires;
  }

  void escape_of(Index part, const Lattice& lattice) {
    EscapeAnswer answer;
    answer.part = part;
    answer.grid = lattice.grid();
    std::vector<EscapeWire> wires = escape_wires(part, lattice, in_.wire, answer.wires);
    for (std::size_t k = 0; k < wires.size(); ++k) {
      if (wires[k].inside || !has_places(plan_.wires[answer.wires[k]].jumper)) continue;
      const Point to = plan_.wires[answer.wires[k]].jumper.to.at;
      wires[k].beyond = [&lattice, to](Cell c) {
        return static_cast<double>(distance(lattice.middle_of(c), to));
      };
    }
    answer.escape = find_escape(lattice.grid(), wires, overall(in_.wire));
    answer.says = say_escape(lattice, answer.escape);
    plan_.fits = plan_.fits && answer.escape.fits;
    for (std::size_t k = 0; k < answer.wires.size(); ++k) {
      PlannedWire& wire = plan_.wires[answer.wires[k]];
      wire.route.push_back(wire.jumper.from.at);
      for (const Cell cell : answer.escape.routes[k].cells) wire.route.push_back(lattice.middle_of(cell));
      if (answer.escape.routes[k].cells.empty()) wire.clear_way = false;
    }
    place_cut(lattice, wires, answer);
    plan_.escapes.push_back(std::move(answer));
  }

  std::string say_escape(const Lattice& lattice, const Escape& escape) const {
    if (escape.asked == 0) return "no wire runs between the balls";
    const EscapeGrid& grid = lattice.grid();
    const std::string thicker = in_.supply_wire > in_.wire
                                    ? fmt::format(", supplies {} mm", mm_text(overall(in_.supply_wire), 3))
                                    : "";
    const std::string how =
        fmt::format("wire {} mm overall{}, joints {} mm at {} mm", mm_text(overall(in_.wire), 3), thicker,
                    mm_text(grid.joint), mm_text(std::min(grid.pitch_x, grid.pitch_y)));
    if (escape.fits)
      return fmt::format("{} of {} fit between the balls ({})", escape.found, escape.asked, how);
    std::string where;
    for (std::size_t i = 0; i < std::min<std::size_t>(escape.bottleneck.size(), 6); ++i) {
      const auto& [a, b] = escape.bottleneck[i];
      const auto [first, second] = gap_sites(a, b);
      where +=
          fmt::format("{}{} and {}", where.empty() ? "" : "; ", lattice.name(first), lattice.name(second));
    }
    const std::string cut = fmt::format("the bottleneck lets {} through: between {}", escape.bottleneck_room,
                                        where.empty() ? "the sites themselves" : where);
    if (!escape.may_fit) return fmt::format("{} of {} fit ({}); {}", escape.found, escape.asked, how, cut);
    return fmt::format(
        "{} of {} found a way ({}); that all fit could not be shown, nor that they do not: thick "
        "wires were laid first{}",
        escape.found, escape.asked, how, escape.bottleneck_wire > 0 ? ", and then " + cut : "");
  }

  // Without places there is no way and no length, so that no signal is judged.
  [[nodiscard]] bool has_places(const Jumper& jumper) const {
    const auto placed = [&](const Landing& landing) {
      return landing.kind != LandingKind::kUnknown &&
             (landing.pin == kNone || !index_.lands_of_pin(landing.pin).empty());
    };
    return placed(jumper.from) && placed(jumper.to);
  }

  // The mark took the copper there: a probe has nothing to touch.
  [[nodiscard]] bool has_no_land(const Landing& end) const {
    const auto& sites = in_.assessment->sites;
    return end.kind == LandingKind::kSite &&
           std::any_of(sites.begin(), sites.end(), [&](const SiteAnswer& site) {
             return site.pin == end.pin && takes_copper(site.mark);
           });
  }

  // All lands of the net were one piece of copper, and one wire is all that is missing of it.
  [[nodiscard]] bool is_one_piece_but_for(const PlannedWire& wire) const {
    const auto& mends = in_.assessment->mends;
    const auto mend = std::find_if(mends.begin(), mends.end(),
                                   [&](const NetMend& one) { return one.net == wire.jumper.net; });
    if (mend == mends.end() || !mend->copper_known || !mend->doubt.empty() || mend->jumpers.size() != 1 ||
        !mend->cut_off.empty())
      return false;
    const NetCopper& copper = in_.copper->net(wire.jumper.net);
    std::set<Node> islands;
    for (std::size_t node = 0; node < copper.pieces.size(); ++node) {
      if (in_.copper->piece(copper, static_cast<Node>(node)).kind == CopperKind::kLand)
        islands.insert(copper.island[node]);
    }
    return islands.size() == 1;
  }

  // A pin beside the landing that a probe reaches and that must beep to it; kNone where none is sure.
  [[nodiscard]] Index second_probe(const PlannedWire& wire, const Landing& first) const {
    if (!is_one_piece_but_for(wire)) return kNone;
    for (const Index pin : index_.pins_of_net(wire.jumper.net)) {
      const auto& sites = in_.assessment->sites;
      const bool marked =
          std::any_of(sites.begin(), sites.end(), [&](const SiteAnswer& site) { return site.pin == pin; });
      const Index part = board_.pins[pin].part;
      const bool hidden = is_area_array(index_, part) && lattices_.find(part) == lattices_.end();
      // A test point may hang on what was torn: only live pins are known to be joined.
      if (pin != first.pin && is_live(index_, pin) && !marked && !hidden && !index_.lands_of_pin(pin).empty())
        return pin;
    }
    return kNone;
  }

  // What a meter says before the wire is there: between its ends, where both have copper.
  [[nodiscard]] std::string before_text(const PlannedWire& wire) const {
    const bool near_gone = has_no_land(wire.jumper.from);
    const bool far_gone = has_no_land(wire.jumper.to);
    if (!near_gone && !far_gone) return fmt::format("{} to {}: open", wire.from, wire.to);
    const std::string& gone = near_gone ? wire.from : wire.to;
    const std::string& other = near_gone ? wire.to : wire.from;
    const Landing& left = near_gone ? wire.jumper.to : wire.jumper.from;
    if ((near_gone && far_gone) || left.kind == LandingKind::kUnknown)
      return near_gone && far_gone
                 ? fmt::format("no probe: neither {} nor {} has copper to touch", wire.from, wire.to)
                 : fmt::format("no probe: no copper at {}, and its far end is not known", gone);
    if (const Index second = second_probe(wire, left); second != kNone)
      return fmt::format("no copper at {}: {} to {}: beeps", gone, other, index_.pin_text(second));
    return fmt::format("no copper at {}: a probe touches {} alone, no second point is sure", gone, other);
  }

  void finish_without_places(PlannedWire& wire) {
    wire.route.clear();
    wire.clear_way = false;
    const Landing& near = wire.jumper.from;
    if (near.pin != kNone && !index_.lands_of_pin(near.pin).empty())
      wire.beware = neighbours_of(index_, near.at, side_of(wire.jumper), wire.jumper.net, kNeighbourReach);
    wire.procedure = procedure_for(wire);
    wire.chance = chance_of(wire);
    wire.judgement.why = "its length is not known, so the signal is not judged";
    wire.before = before_text(wire);
    wire.after = fmt::format("{} to {}: a wire's resistance", wire.from, wire.to);
  }

  void finish(PlannedWire& wire) {
    const Jumper& jumper = wire.jumper;
    if (!has_places(jumper)) return finish_without_places(wire);
    if (wire.route.empty()) wire.route.push_back(jumper.from.at);
    if (!wire.under_part && !wire.other_side) {
      const Point exit = wire.route.back();
      const Ground& ground = ground_of(side_of(jumper));
      const std::vector<Point> way = ground.way(exit, jumper.to.at);
      if (way.empty()) wire.clear_way = false;
      wire.route.insert(wire.route.end(), way.empty() ? way.end() : way.begin() + 1, way.end());
    }
    if (!(wire.route.back() == jumper.to.at)) wire.route.push_back(jumper.to.at);
    const Nm route =
        line_length(wire.route) + (wire.other_side ? 2 * std::max<Nm>(board_.thickness, 1'600'000) : 0);
    wire.length = route + std::max(in_.slack, static_cast<Nm>(static_cast<double>(route) * in_.slack_share));
    wire.procedure = procedure_for(wire);
    wire.chance = chance_of(wire);
    wire.beware = neighbours_of(index_, jumper.from.at, side_of(jumper), jumper.net, kNeighbourReach);
    for (std::string& other :
         neighbours_of(index_, jumper.to.at, jumper.to.side, jumper.net, kNeighbourReach)) {
      if (std::find(wire.beware.begin(), wire.beware.end(), other) == wire.beware.end() &&
          wire.beware.size() < 8)
        wire.beware.push_back(std::move(other));
    }
    judge(wire);
    // Cut to the tenth above: what a rule shows, on paper as on the screen.
    constexpr Nm kTenth = kNmPerMm / 10;
    wire.length = (wire.length + kTenth - 1) / kTenth * kTenth;
    wire.before = before_text(wire);
    wire.after = fmt::format("{} to {}: below {:.2f} ohm more than the leads", wire.from, wire.to,
                             wire.judgement.ohm + 0.2);
  }

  const Ground& ground_of(Side side) {
    auto found = grounds_.find(side);
    if (found == grounds_.end()) found = grounds_.emplace(side, Ground(index_, side, lifted())).first;
    return found->second;
  }

  static verdict::ChanceKind chance_of(const PlannedWire& wire) {
    if (wire.under_part && wire.jumper.to.kind == LandingKind::kSite) return verdict::ChanceKind::kUnder;
    switch (wire.jumper.to.kind) {
      case LandingKind::kOpenVia:
      case LandingKind::kTentedVia:
        return verdict::ChanceKind::kVia;
      default:
        return verdict::ChanceKind::kNear;
    }
  }

  void judge(PlannedWire& wire) {
    const Index net = wire.jumper.net;
    const physics::InterfaceChoice choice =
        physics::default_interface(*in_.signals, net, board_.nets[net].name);
    physics::WireCase c;
    c.length = std::max<Nm>(wire.length, 1);
    c.bare = wire.bare;
    c.use = choice.use;
    c.interface_id = choice.id;
    c.mbps = in_.rate && !choice.id.empty() ? in_.rate(choice.id) : choice.mbps;
    if (c.mbps <= 0) c.mbps = choice.mbps;
    c.mbps_stated = in_.rate_stated && !choice.id.empty() && in_.rate_stated(choice.id);
    if (const auto lost = lost_track(*in_.copper, net, wire.jumper.from, wire.jumper.to)) {
      wire.lost_track = lost->length;
      c.lost_track = lost->length;
      c.lost_medium = lost->inner ? physics::Medium::kStripline : physics::Medium::kMicrostrip;
    }
    if (choice.use == physics::LineUse::kSupply) c.rail_volt = physics::rail_volt(board_.nets[net].name);
    if (const physics::InterfaceInfo* info = physics::find_interface(choice.id);
        info != nullptr && !info->slow())
      wire.interface = physics::grade_name(*info, c.mbps);
    wire.fast = !wire.interface.empty() &&
                (choice.use == physics::LineUse::kData || choice.use == physics::LineUse::kAddress);
    wire.judgement = physics::judge_wire(c, in_.limits);
    wire.word = wire.judgement.word;
    cases_[wire.number] = c;
  }

  void judge_pairs() {
    for (PlannedWire& wire : plan_.wires) {
      if (!wire.fast) continue;
      const Index other = other_leg(index_, wire.jumper.net);
      if (other == kNone) continue;
      wire.pair_with = board_.nets[other].name;
      physics::PairCase pair;
      pair.positive = cases_[wire.number];
      for (const PlannedWire& leg : plan_.wires) {
        if (leg.jumper.net == other) pair.negative = cases_[leg.number];
      }
      wire.pair = physics::judge_pair(pair, in_.limits);
      const auto bad = [](physics::Word w) {
        return w == physics::Word::kWillNotWork ? 2 : (w == physics::Word::kRisky ? 1 : 0);
      };
      if (bad(wire.pair->word) > bad(wire.word)) wire.word = wire.pair->word;
    }
  }

  void compare_sizes() {
    plan_.wire = size_text(in_.wire);
    if (in_.supply_wire > in_.wire) plan_.wire += ", supplies " + size_text(in_.supply_wire);
    for (const physics::WireSize& size : physics::enamelled_wires()) {
      WireSizeAnswer answer;
      answer.wire = std::string(size.name);
      answer.overall = size.overall_most;
      answer.fits = true;
      bool may_fit = true;
      for (const auto& [part, lattice] : lattices_) {
        std::vector<std::size_t> which;
        const std::vector<EscapeWire> wires = escape_wires(part, lattice, size.bare, which);
        if (wires.empty()) continue;
        const Escape escape = find_escape(lattice.grid(), wires, size.overall_most);
        answer.found += escape.found;
        answer.asked += escape.asked;
        answer.fits = answer.fits && escape.fits;
        // Proven for one array is proven for all.
        may_fit = may_fit && (escape.fits || escape.may_fit);
      }
      answer.may_fit = !answer.fits && may_fit;
      plan_.sizes.push_back(std::move(answer));
    }
  }

  const PlanInput& in_;
  const BoardIndex& index_;
  const Board& board_;
  std::map<Index, Lattice> lattices_;
  std::map<Side, Ground> grounds_;
  std::map<int, physics::WireCase> cases_;
  std::optional<std::vector<std::pair<Index, Box>>> arrays_;
  Plan plan_;
};

}  // namespace

std::string done_text(const Plan& plan) {
  const auto is_done = [](const auto& piece) { return piece.done; };
  const auto done = std::count_if(plan.wires.begin(), plan.wires.end(), is_done) +
                    std::count_if(plan.rebuilds.begin(), plan.rebuilds.end(), is_done);
  return done == 0 ? "" : fmt::format("; {} of {} done", done, plan.wires.size() + plan.rebuilds.size());
}

std::string fit_text(const WireSizeAnswer& size) {
  if (size.asked == 0) return "no wire runs between the balls";
  if (size.fits) return "all fit";
  if (!size.may_fit) return fmt::format("{} of {} fit", size.found, size.asked);
  return fmt::format("{} of {} found a way; that all fit could not be shown, nor that they do not",
                     size.found, size.asked);
}

Plan make_plan(const PlanInput& input) {
  return Planner(input).run();
}

std::vector<NumberedPiece> number_pieces(const PlanInput& input) {
  return Planner(input).pieces();
}

verdict::Work work_of(const Plan& plan, const Assessment& assessment, int parts,
                      const std::vector<char>& only_nets) {
  const auto counts = [&](Index net) { return only_nets.empty() || (net != kNone && only_nets[net] != 0); };
  verdict::Work work;
  work.parts = parts;
  const auto add = [&](verdict::ChanceKind kind, bool fast, bool will_not, bool done) {
    for (verdict::WorkGroup& group : work.groups) {
      if (group.kind == kind && group.fast == fast && group.will_not_work == will_not && group.done == done) {
        ++group.count;
        return;
      }
    }
    work.groups.push_back({kind, 1, fast, will_not, done});
  };
  const auto is_done = [&](const Rebuild& rebuild) {
    return std::any_of(plan.rebuilds.begin(), plan.rebuilds.end(), [&](const PlannedRebuild& planned) {
      return planned.done && planned.rebuild.pin == rebuild.pin;
    });
  };
  for (const NetMend& mend : assessment.mends) {
    if (!counts(mend.net)) continue;
    for (const Rebuild& rebuild : mend.rebuilds)
      add(rebuild.only_bond ? verdict::ChanceKind::kRebond : verdict::ChanceKind::kRebuild, false, false,
          is_done(rebuild));
    work.cannot += static_cast<int>(mend.cannot.size());
  }
  for (const PlannedWire& wire : plan.wires) {
    if (counts(wire.jumper.net))
      add(wire.chance, wire.fast, wire.word == physics::Word::kWillNotWork, wire.done);
  }
  return work;
}

}  // namespace landfall::rework
