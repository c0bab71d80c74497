// The ball map of one package as a scene, and which site lies under a point. LOOK, "The map".
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "netdb/model/package.hpp"
#include "viewer/app/desk.hpp"
#include "viewer/scene/scene.hpp"

namespace landfall::scene {

enum class Face { kLands, kBalls };
std::string_view word(Face face);

struct MapInput {
  const app::OpenBoard* board = nullptr;           // required
  const Package* package = nullptr;                // required
  const Job* job = nullptr;                        // marks, if any
  const rework::Assessment* assessment = nullptr;  // needs, if any
  ThemeName theme = ThemeName::kDay;
  Face face = Face::kLands;
  double turn = 0;          // degrees clockwise as seen, after the face
  bool true_scale = false;  // else the schematic grid; a part without a grid is always to scale
  Index selected = kNone;   // pins
  Index pointed = kNone;
  bool inspection = false;  // pale what was not inspected
  // By site of the package, where given: what is not singled out is pale; what is lit is ringed; what is
  // chosen awaits a mark.
  const std::vector<bool>* single_out = nullptr;
  const std::vector<bool>* lit = nullptr;
  const std::vector<bool>* chosen = nullptr;
  double zoom = 1;  // 1: the whole package fits
  P centre;         // the place of the package in the middle of the map: steps of the grid, lands face, y up
  double fixed_pitch = 0;  // pixels; above 0 it stands in place of fit and zoom (true size on paper)
};

class MapView {
 public:
  // `area` holds the frame with its rulers. O(sites).
  MapView(const MapInput& input, Rect area);

  [[nodiscard]] double pitch() const { return pitch_; }
  [[nodiscard]] double radius() const { return radius_; }
  // The site's middle on the screen.
  [[nodiscard]] P place(std::size_t site) const { return places_[site]; }
  // The site whose cell the point fell in, whatever the zoom; nothing between cells of a part without a grid.
  [[nodiscard]] std::optional<std::size_t> site_at(P point) const;
  // The grid position under the point, whether it has a ball or not; nothing off the grid, or to scale.
  [[nodiscard]] std::optional<Site> cell_at(P point) const;
  [[nodiscard]] Rect inner() const { return inner_; }
  // Sites whose middle lies in the rectangle, whichever way its corners were drawn.
  [[nodiscard]] std::vector<std::size_t> sites_in(P corner, P opposite) const;
  // Sites that a straight stroke between two points passes over, in its order.
  [[nodiscard]] std::vector<std::size_t> sites_along(P from, P to) const;

  // Between a place of the package, in steps of the grid (lands face, y up, from its middle), and the screen.
  [[nodiscard]] P unit_place(const PackageSite& site) const;
  [[nodiscard]] P to_screen(P unit) const;
  [[nodiscard]] P to_unit(P screen) const;
  // Half the package's width and height in those steps, with its margin.
  [[nodiscard]] P half_size() const { return half_; }

  // `under_sites`: draws on the ground, before the sites; may be empty.
  void draw(Canvas& canvas, const std::function<void(Canvas&)>& under_sites = {}) const;
  // The dashed ring under the pointer, apart, since it changes with every move.
  void draw_pointed(Canvas& canvas, std::size_t site) const;

 private:
  [[nodiscard]] bool on_grid() const;
  [[nodiscard]] bool quarter() const;

  struct Group {
    Index group = kNone;
    std::vector<bool> cells;  // by cell_of()
  };

  void draw_ground(Canvas& canvas) const;
  void draw_frame(Canvas& canvas) const;
  void draw_package(Canvas& canvas) const;
  void draw_rulers(Canvas& canvas) const;
  void draw_free_rulers(Canvas& canvas) const;
  void draw_zones(Canvas& canvas) const;
  void draw_limits(Canvas& canvas, const Group& group, const std::vector<double>& pattern, double width,
                   Colour c) const;
  void draw_channel_names(Canvas& canvas) const;
  void draw_absent(Canvas& canvas) const;
  void draw_selection(Canvas& canvas) const;
  void draw_turned_selection(Canvas& canvas) const;
  void draw_sites(Canvas& canvas) const;
  void draw_ball(Canvas& canvas, std::size_t site, Colour under, double share) const;
  void draw_open_ball(Canvas& canvas, std::size_t site, Colour hue, Colour under) const;
  void draw_marked(Canvas& canvas, std::size_t site, Colour under) const;
  void draw_rings(Canvas& canvas) const;
  void draw_net_ring(Canvas& canvas, P at) const;
  void draw_graduation(Canvas& canvas, P at, bool upright) const;
  void draw_chosen(Canvas& canvas, std::size_t site) const;

  [[nodiscard]] std::vector<Group> groups(bool lanes) const;
  void close_gaps(Group& group) const;
  [[nodiscard]] std::size_t cell_of(int row, int column) const;
  [[nodiscard]] bool has_cell(const Group& group, int row, int column) const;
  [[nodiscard]] Index net_of(std::size_t site) const;
  [[nodiscard]] std::string sounding(std::size_t site, std::size_t most) const;

  const MapInput& in_;
  const Theme& theme_;
  Rect area_, inner_;
  double pitch_ = 1, radius_ = 1, cos_ = 1, sin_ = 0, aspect_ = 1;
  double unit_ = 1;  // nm of one step, to scale
  P middle_, half_;
  std::vector<P> places_;
  std::vector<int> mark_;  // by site: the mark's place in the job, -1
  std::vector<int> need_;  // by site: the answer's place, -1
  std::vector<Index> site_of_cell_;
  std::vector<Group> channel_groups_, lane_groups_;
};

}  // namespace landfall::scene
