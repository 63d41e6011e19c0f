# The programs that draw the demo's photographs and make its profiles; built by templates-demo/run,
# and with the tests so that they cannot rot.
file(GLOB TW_IMAGES_SOURCES CONFIGURE_DEPENDS templates-demo/images/*.c)
add_executable(make-images EXCLUDE_FROM_ALL templates-demo/make-images.c
               templates-demo/icc/tags.c ${TW_IMAGES_SOURCES})
target_link_libraries(make-images PRIVATE tw_flags PNG::PNG JPEG::JPEG m)
target_include_directories(make-images PRIVATE templates-demo)
set_target_properties(make-images PROPERTIES RUNTIME_OUTPUT_DIRECTORY ${PROJECT_BINARY_DIR})
if(TRIMWELL_TESTS)
  set_target_properties(make-images PROPERTIES EXCLUDE_FROM_ALL FALSE)
endif()

# The program that makes the demo's printer profiles; the tests find them in build/profiles.
file(GLOB TW_PROFILES_SOURCES CONFIGURE_DEPENDS templates-demo/profiles/*.c)
add_executable(make-profiles EXCLUDE_FROM_ALL templates-demo/make-profiles.c
               templates-demo/icc/tags.c ${TW_PROFILES_SOURCES})
target_link_libraries(make-profiles PRIVATE tw_flags m)
target_include_directories(make-profiles PRIVATE templates-demo)
set_target_properties(make-profiles PROPERTIES RUNTIME_OUTPUT_DIRECTORY ${PROJECT_BINARY_DIR})
set(TW_PROFILES ${PROJECT_BINARY_DIR}/profiles)
add_custom_command(OUTPUT ${TW_PROFILES}/made
                   COMMAND ${CMAKE_COMMAND} -E make_directory ${TW_PROFILES}
                   COMMAND make-profiles ${TW_PROFILES}
                   COMMAND ${CMAKE_COMMAND} -E touch ${TW_PROFILES}/made
                   DEPENDS make-profiles VERBATIM)
if(TRIMWELL_TESTS)
  add_custom_target(demo-profiles ALL DEPENDS ${TW_PROFILES}/made)
endif()
