#include <algorithm>
#include <map>
#include <vector>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "sample-boards/generator/writers.hpp"

// The netlist (FORMATS.md section 2), the test netlist (section 3) and the processor's ball list.

namespace landfall::sample {
namespace {

constexpr std::int64_t kUnit = 1'000;  // CUST 1: 0.001 mm
constexpr std::size_t kNetField = 14;

std::string library_part(const Component& part) {
  return part.symbol.substr(part.symbol.find(':') + 1);
}

std::string field(std::int64_t value, int digits) {
  return fmt::format("{}{:0{}}", value < 0 ? '-' : '+', std::abs(value), digits);
}

class TestNetlist {
 public:
  std::string write(const Product& product, const Copper& copper) {
    out_ =
        "C  Skua 4 main board, an invented product\nP  JOB   SKUA4\nP  CODE  00\nP  UNITS CUST 1\nP  TITLE "
        "Skua 4 main board\n";
    out_ += "P  NUM   0001\nP  REV   B\nP  VER IPC-D-356A\nP  IMAGE PRIMARY\n";
    name_long_nets(product);
    for (const Component& part : product.components) {
      for (const Terminal& terminal : part.terminals) pin(part, terminal);
    }
    for (const RoutedVia& via : copper.vias) {
      out_ += fmt::format("317{:<14}   {:<6}     MD{:04}PA00X{}Y{}X{:04}Y0000R000 S3      \n",
                          short_name(via.net), "VIA", kViaDrill / kUnit, field(via.at.x * kCell / kUnit, 6),
                          field(-via.at.y * kCell / kUnit, 6), kViaDiameter / kUnit);
    }
    for (const Cell hole : product.holes) {
      out_ += fmt::format("367{:<14}   {:<6}      D3200UA00X{}Y{}X3200Y0000R000 S0      \n", "N/C", "",
                          field(hole.x * kCell / kUnit, 6), field(-hole.y * kCell / kUnit, 6));
    }
    out_ += "999\n";
    return std::move(out_);
  }

 private:
  void name_long_nets(const Product& product) {
    for (const Component& part : product.components) {
      for (const Terminal& terminal : part.terminals) {
        if (terminal.net.size() > kNetField) aliases_.emplace(terminal.net, "");
      }
    }
    int n = 0;
    for (auto& [net, alias] : aliases_) {
      alias = fmt::format("NNAME{:05}", ++n);
      out_ += fmt::format("P  {} {}\n", alias, net);
    }
  }

  std::string short_name(const std::string& net) const {
    if (net.empty()) return "N/C";
    const auto alias = aliases_.find(net);
    return alias == aliases_.end() ? net : alias->second;
  }

  void pin(const Component& part, const Terminal& t) {
    out_ += fmt::format("327{:<14}   {:<6}-{:<4}       A{}X{}Y{}X{:04}Y{:04}R000 S{}      \n",
                        short_name(t.net), part.reference, t.number, part.bottom ? "08" : "01",
                        field(t.at.x * kCell / kUnit, 6), field(-t.at.y * kCell / kUnit, 6), t.width / kUnit,
                        t.round ? 0 : t.height / kUnit, part.bottom ? 1 : 2);
  }

  std::map<std::string, std::string> aliases_;
  std::string out_;
};

}  // namespace

std::string kicad_netlist(const Product& product) {
  std::string out =
      "(export (version \"E\")\n  (design (source \"skua4\") (tool \"skua4_generator\"))\n  (components\n";
  std::map<std::string, const Component*> symbols;
  struct Node {
    std::string reference;
    const Terminal* terminal;
  };
  std::map<std::string, std::vector<Node>> nets;
  for (const Component& part : product.components) {
    out += fmt::format(
        "    (comp (ref \"{}\") (value \"{}\") (footprint \"{}\") (libsource (lib \"skua\") (part "
        "\"{}\")))\n",
        part.reference, part.value, part.footprint, library_part(part));
    symbols.emplace(library_part(part), &part);
    for (const Terminal& t : part.terminals) {
      const std::string net =
          t.net.empty() ? fmt::format("unconnected-({}-{}-Pad{})", part.reference, t.function, t.number)
                        : t.net;
      nets[net].push_back({part.reference, &t});
    }
  }
  out += "  )\n  (libparts\n";
  for (const auto& [name, part] : symbols) {
    out += fmt::format("    (libpart (lib \"skua\") (part \"{}\") (pins\n", name);
    for (const Terminal& t : part->terminals) {
      out +=
          fmt::format("      (pin (num \"{}\") (name \"{}\") (type \"{}\"))\n", t.number, t.function, t.type);
    }
    out += "    ))\n";
  }
  out += "  )\n  (nets\n";
  int code = 0;
  for (const auto& [name, nodes] : nets) {
    out += fmt::format("    (net (code \"{}\") (name \"{}\")\n", ++code, name);
    for (const Node& node : nodes) {
      out += fmt::format("      (node (ref \"{}\") (pin \"{}\")", node.reference, node.terminal->number);
      if (!node.terminal->function.empty())
        out += fmt::format(" (pinfunction \"{}\")", node.terminal->function);
      out += fmt::format(" (pintype \"{}\"))\n", node.terminal->type);
    }
    out += "    )\n";
  }
  return out + "  )\n)\n";
}

std::string ipc_d_356(const Product& product, const Copper& copper) {
  return TestNetlist().write(product, copper);
}

std::string ball_list(const Product& product) {
  std::string out = "ball,name,type\n";
  for (const Component& part : product.components) {
    if (part.reference != "U1") continue;
    std::vector<const Terminal*> balls;
    for (const Terminal& t : part.terminals) balls.push_back(&t);
    std::sort(balls.begin(), balls.end(), [](const Terminal* a, const Terminal* b) {
      return *parse_ball(a->number) < *parse_ball(b->number);
    });
    for (const Terminal* t : balls) out += fmt::format("{},{},{}\n", t->number, t->function, t->type);
  }
  return out;
}

std::map<std::string, std::string> skua4_files() {
  const Product product = skua4();
  const Copper copper = route(product);
  if (!copper.unrouted.empty()) return {};
  return {{"skua4.kicad_pcb", kicad_board(product, copper)},
          {"skua4.net", kicad_netlist(product)},
          {"skua4.ipc", ipc_d_356(product, copper)},
          {"skua4-u1-balls.csv", ball_list(product)}};
}

}  // namespace landfall::sample
