// The whole board as a scene: outline, parts with their names, lands, the net under study with its copper,
// marks and wires; and what lies under a point. x runs right and y up as the board's file has them, seen from
// above; the bottom side is mirrored left to right here and nowhere else. LOOK, "Board".
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "viewer/app/desk.hpp"
#include "viewer/scene/board_shapes.hpp"

namespace landfall::scene {

enum class WireState { kToDo, kPresent, kDone, kFailed };

// A jumper wire as it lies on the board.
struct BoardWire {
  std::vector<Point> points;  // from the site to the landing, at least two
  int number = 0;             // stands at both ends
  WireState state = WireState::kToDo;
};

struct BoardInput {
  const app::OpenBoard* board = nullptr;  // required
  const Job* job = nullptr;               // its lifted parts and marks, if any
  std::span<const BoardWire> wires;
  ThemeName theme = ThemeName::kDay;
  Side side = Side::kTop;  // or kBottom
  Index part = kNone;      // the package under study, drawn as strong as a lifted one
  Index pin = kNone;       // the selected ball: hairlines and a ring
  Index net = kNone;       // the net under study; without one that of the ball
  Index pointed = kNone;   // a land under the pointer
  bool every_track = false;
  bool name_all = false;   // else a name that finds no room is left out
  double zoom = 1;         // 1: the whole board fits
  P pan;                   // of the board's middle, in pixels
  double fixed_scale = 0;  // pixels a mm; above 0 it stands in place of fit and zoom
};

struct BoardHit {
  Index land = kNone;
  Index part = kNone;
  Index pin = kNone;
  Index net = kNone;
};

class BoardView {
 public:
  // `area` holds the frame with its rulers. `input` must outlive the view. O(lands log lands).
  BoardView(const BoardInput& input, Rect area);

  [[nodiscard]] const Rect& inner() const { return inner_; }
  [[nodiscard]] double pixels_per_mm() const { return scale_ * static_cast<double>(kNmPerMm); }
  [[nodiscard]] P to_screen(P board) const;
  [[nodiscard]] P to_board(P screen) const;
  // The net that is drawn; kNone.
  [[nodiscard]] Index net() const { return net_; }
  [[nodiscard]] const std::vector<PartBox>& boxes() const { return boxes_; }
  // The lands that are drawn, in the order of painting: big ones below.
  [[nodiscard]] const std::vector<Index>& lands() const { return lands_; }

  // What is drawn there: a land (the uppermost), else copper of the net under study or, with `every_track`,
  // of any on this side, else the smallest part whose outline holds the point. O(lands + tracks).
  [[nodiscard]] std::optional<BoardHit> hit(P screen) const;

  // What `pan` must become for `zoom` times `factor` to leave the point under the pointer where it is.
  [[nodiscard]] P pan_about(P pointer, double factor) const;

  void draw(Canvas& canvas) const;

 private:
  struct Names;
  enum class Study { kNone, kNet, kBeyond };  // how a net belongs to what is studied

  [[nodiscard]] bool on_side(const Land& land) const;
  [[nodiscard]] bool near_view(P board, double reach) const;
  [[nodiscard]] bool strong(Index part) const;
  [[nodiscard]] Study study(Index net) const;
  [[nodiscard]] std::optional<P> place_of_pin(Index pin) const;
  [[nodiscard]] Index copper_at(P board, double near) const;

  void draw_outline(Canvas& canvas) const;
  void draw_part(Canvas& canvas, Index part) const;
  void draw_parts(Canvas& canvas) const;
  void draw_land(Canvas& canvas, const Land& land, Colour c) const;
  void draw_lands(Canvas& canvas) const;
  void draw_stroke(Canvas& canvas, const std::vector<P>& board, Nm width, Colour c, bool solid) const;
  void draw_tracks(Canvas& canvas, bool side_layer) const;
  void draw_every_track(Canvas& canvas) const;
  void draw_fills(Canvas& canvas, bool side_layer) const;
  void draw_vias(Canvas& canvas) const;
  void draw_net_lands(Canvas& canvas) const;
  void draw_series(Canvas& canvas) const;
  void draw_test_points(Canvas& canvas) const;
  void draw_marks(Canvas& canvas) const;
  void draw_names(Canvas& canvas) const;
  void draw_wires(Canvas& canvas) const;
  struct WireEnd {
    P at;
    int number = 0;
    Colour colour;
    bool present = false;
  };
  void draw_wire_numbers(Canvas& canvas, std::vector<WireEnd> ends) const;
  void draw_selection(Canvas& canvas) const;
  void draw_frame(Canvas& canvas) const;
  void draw_rulers(Canvas& canvas) const;
  void draw_ruler_across(Canvas& canvas, double step_mm) const;
  void draw_ruler_up(Canvas& canvas, double step_mm) const;

  const BoardInput& in_;
  const Board& board_;
  const Theme& theme_;
  Rect area_, inner_;
  P low_, high_, centre_, middle_;  // the board's corners and middle, in nm; its middle on the screen
  double scale_ = 1;                // pixels a nm
  double flip_ = 1;                 // -1 on the bottom side
  int side_layer_ = 0;
  Index net_ = kNone;
  struct Series {
    Index near_pin = kNone, far_pin = kNone, net = kNone;
  };
  std::vector<Series> series_;  // ways from the net to nets beyond series parts
  std::vector<bool> lifted_;    // by part
  std::vector<PartBox> boxes_;
  std::vector<Index> lands_;
  std::vector<Index> parts_;  // drawn, big ones first
};

}  // namespace landfall::scene
