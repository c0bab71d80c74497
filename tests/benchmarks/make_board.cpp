// make_board KIND PINS > FILE: an invented board of any size, the same every time. KIND is ipc (IPC-D-356) or
// xml (a KiCad netlist as XML). Parts of 1,000 balls; a net takes a pin each of four parts; a via a net.
#include <cstdio>
#include <string>
#include <string_view>

#include <fmt/format.h>

#include "netdb/model/ball_name.hpp"
#include "netdb/model/units.hpp"

using namespace landfall;

namespace {

constexpr std::int64_t kPinsOfPart = 1'000;
constexpr std::int64_t kColumns = 40;
constexpr std::int64_t kPinsOfNet = 4;
constexpr std::int64_t kPartsInRow = 40;
constexpr std::int64_t kPitch = 500;    // the file's unit, 0.001 mm
constexpr std::int64_t kStep = 24'000;  // part to part

struct Pin {
  std::int64_t part = 0, net = 0, x = 0, y = 0;
  std::string ball;
};

Pin pin_at(std::int64_t n, std::int64_t pins) {
  Pin pin;
  pin.part = n / kPinsOfPart;
  const std::int64_t place = n % kPinsOfPart;
  const std::int64_t nets = (pins + kPinsOfNet - 1) / kPinsOfNet;
  // The four pins of a net lie far apart, as on a board; 7919 is prime to all sizes of use.
  pin.net = n * 7919 % nets;
  pin.ball = ball_text({static_cast<int>(place / kColumns) + 1, static_cast<int>(place % kColumns) + 1});
  pin.x = pin.part % kPartsInRow * kStep + place % kColumns * kPitch;
  pin.y = pin.part / kPartsInRow * kStep + place / kColumns * kPitch;
  return pin;
}

void ipc(std::int64_t pins) {
  fmt::print("C  invented, for benchmarks\nP  JOB   large\nP  UNITS CUST 1\nP  VER   IPC-D-356A\n");
  for (std::int64_t n = 0; n < pins; ++n) {
    const Pin pin = pin_at(n, pins);
    fmt::print("327{:<14}   {:<6}-{:<4}       A01X{:+07}Y{:+07}X0400Y0000R000S0      \n",
               fmt::format("NET_{}", pin.net), fmt::format("U{}", pin.part), pin.ball, pin.x, pin.y);
    if (n % kPinsOfNet != 0) continue;
    fmt::print("317{:<14}   {:<6} {:<4} D0200PA00X{:+07}Y{:+07}X0450Y0000R000S0      \n",
               fmt::format("NET_{}", pin.net), "VIA", "", pin.x + kPitch / 2, pin.y + kPitch / 2);
  }
  fmt::print("999\n");
}

void xml(std::int64_t pins) {
  fmt::print("<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<export version=\"E\">\n  <components>\n");
  for (std::int64_t part = 0; part * kPinsOfPart < pins; ++part) {
    fmt::print(
        "    <comp ref=\"U{}\">\n      <value>large</value>\n      <footprint>invented:BGA-1000</footprint>\n"
        "    </comp>\n",
        part);
  }
  fmt::print("  </components>\n  <nets>\n");
  const std::int64_t nets = pins / kPinsOfNet;
  for (std::int64_t net = 0; net < nets; ++net) {
    fmt::print("    <net code=\"{}\" name=\"/large/NET_{}\">\n", net + 1, net);
    for (std::int64_t i = 0; i < kPinsOfNet; ++i) {
      const Pin pin = pin_at(i * nets + net, pins);
      fmt::print("      <node ref=\"U{}\" pin=\"{}\" pinfunction=\"IO{}\" pintype=\"bidirectional\"/>\n",
                 pin.part, pin.ball, net);
    }
    fmt::print("    </net>\n");
  }
  fmt::print("  </nets>\n</export>\n");
}

}  // namespace

int main(int argc, char** argv) {
  const auto pins = argc == 3 ? parse_integer(argv[2]) : std::nullopt;
  const std::string_view kind = argc == 3 ? argv[1] : "";
  if (!pins || *pins < kPinsOfPart || *pins > 1'600'000 || (kind != "ipc" && kind != "xml")) {
    fmt::print(stderr, "make_board ipc|xml PINS: from 1000 to 1600000\n");
    return 2;
  }
  if (kind == "ipc") {
    ipc(*pins);
  } else {
    xml(*pins);
  }
  return std::fflush(stdout) == 0 ? 0 : 3;
}
